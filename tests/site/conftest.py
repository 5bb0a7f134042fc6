"""The real site, built once, strictly, from a copy: the sources may be edited while tests run."""

from __future__ import annotations

from pathlib import Path

import pytest
from sparkgap.knowledge import Knowledge, load

from .builds import Built, build, copy_of_sources


@pytest.fixture(scope="session")
def sources(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sources of the shipped site. Tests only look at them."""
    return copy_of_sources(tmp_path_factory.mktemp("sources"))


@pytest.fixture(scope="session")
def knowledge(sources: Path) -> Knowledge:
    """The knowledge of the site that was built."""
    return load(sources)


@pytest.fixture(scope="session")
def site(sources: Path, tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The shipped site. Tests only look at it."""
    return build(sources, tmp_path_factory.mktemp("site"))
