"""Sphinx configuration: ``sphinx-build -c conf . OUT`` from the root of the repository builds the whole site."""

import os
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tools"))

project = "Sparkgap"
author = "the Sparkgap authors"
copyright = "the Sparkgap authors"
language = "en"

extensions = ["myst_parser", "sparkgap.site"]
root_doc = "kb/index"
primary_domain = "rv"
include_patterns = [
    "procedures/**/*.md", "kb/*.md", "kb/symptoms/**/*.yaml", "kb/calculators/*.yaml", "kb/faults/*.yaml",
]
exclude_patterns = [".*", "tools", "tests", "schema", "conf", "kb/tables", "kb/units"]

# A word of our own in front of every number; a straight quote stays one in both serial and parallel builds.
smartquotes = False

# Text is text: no HTML of an author's, and no directive that brings in HTML or another file.
myst_disable_syntax = ["html_block", "html_inline"]

html_theme = "basic"
templates_path = ["templates"]
html_static_path = ["static"]
html_additional_pages = {"index": "front.html"}
html_title = "Sparkgap"
# The address that the square code on a printed job card opens; a shop without a public site leaves it unset.
html_baseurl = os.environ.get("SPARKGAP_SITE", "")
html_copy_source = False
html_show_sourcelink = False
html_show_sphinx = False
html_permalinks = False
html_use_index = False
html_domain_indices = False
# The summary would fetch every page that a search lists.
html_show_search_summary = False
