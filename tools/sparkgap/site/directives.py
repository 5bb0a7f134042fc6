"""The directives of a procedure: each places one declared gate, check, remedy, tolerance or calculator."""

from __future__ import annotations

from typing import Any, ClassVar

from docutils import nodes
from sphinx.util import logging
from sphinx.util.docutils import SphinxDirective

from .block_calculator import calculator_block
from .block_check import check_block
from .block_remedy import remedy_block
from .block_small import gate_block, tolerance_block
from .facts import Facts, facts_of

log = logging.getLogger(__name__)


class Place(SphinxDirective):
    """Looks up the id in the knowledge; one that nothing declares is a warning at its line."""

    required_arguments = 1
    has_content = False
    kind: ClassVar[str] = ""

    @property
    def procedure(self) -> str:
        """The id of the procedure that is being read."""
        return self.env.docname.rsplit("/", 1)[-1]

    def run(self) -> list[nodes.Node]:
        """The block, with its anchor; what belongs to this document is noted in the domain."""
        facts, name = facts_of(self.env), self.arguments[0]
        entity = facts.entity(self.kind, self.full_name(name))
        if entity is None and self.procedure not in facts.knowledge.procedures:
            return []  # the loader has said what is wrong with the whole file
        if entity is None:
            log.warning("no %s is called %r: declare it in the front matter or correct the name", self.kind, name,
                        location=self.get_location())
            return []
        block = self.block(facts, entity, f"{self.kind}-{name.replace('/', '-')}")
        self.set_source_info(block)
        self.state.document.note_explicit_target(block)
        return [block]

    def full_name(self, name: str) -> str:
        """The id under which the knowledge holds it."""
        return name

    def block(self, facts: Facts, entity: Any, anchor: str) -> Any:
        """The nodes of the placed thing."""
        raise NotImplementedError


class Owned(Place):
    """A thing that has one owner procedure; other procedures place it by its global id."""

    def full_name(self, name: str) -> str:
        """Local ids are completed with the procedure's."""
        return name if "/" in name else f"{self.procedure}/{name}"

    def note(self, entity: Any, anchor: str, title: str) -> bool:
        """Note the thing in the domain when this is its owner. Returns whether it is foreign here."""
        if entity.procedure != self.procedure:
            return True
        self.env.get_domain("rv").note(self.kind, f"{entity.procedure}/{entity.id}", anchor, title)
        return False


class PlaceGate(Place):
    """``{gate} id``"""

    kind = "gate"

    def block(self, facts: Facts, entity: Any, anchor: str) -> Any:
        """A gate; it is described in the index of gates."""
        return gate_block(facts, self.env, entity, anchor)


class PlaceCheck(Owned):
    """``{check} id`` or ``{check} procedure/id``"""

    kind = "check"

    def block(self, facts: Facts, entity: Any, anchor: str) -> Any:
        """A check with its answers; a reading without a place of its own is found here."""
        foreign = self.note(entity, anchor, entity.ask)
        if not foreign:
            self._readings(facts, entity, anchor)
        return check_block(facts, self.env, entity, anchor, foreign)

    def _readings(self, facts: Facts, check: Any, anchor: str) -> None:
        placed = {p.target for p in facts.knowledge.procedures[check.procedure].placements if p.kind == "tolerance"}
        for name in (*check.measure, check.limit):
            tolerance = facts.tolerances.get(f"{check.procedure}/{name}")
            if tolerance is not None and name not in placed:
                self.env.get_domain("rv").note("tolerance", f"{check.procedure}/{name}", anchor, tolerance.title)


class PlaceRemedy(Owned):
    """``{remedy} id``"""

    kind = "remedy"

    def block(self, facts: Facts, entity: Any, anchor: str) -> Any:
        """A remedy with part and proof."""
        return remedy_block(facts, self.env, entity, anchor, self.note(entity, anchor, entity.title))


class PlaceTolerance(Owned):
    """``{tolerance} id``"""

    kind = "tolerance"

    def block(self, facts: Facts, entity: Any, anchor: str) -> Any:
        """Limits by unit."""
        self.note(entity, anchor, entity.title)
        return tolerance_block(facts, self.env, entity, anchor)


class PlaceCalculator(Place):
    """``{calculator} id``"""

    kind = "calculator"

    def block(self, facts: Facts, entity: Any, anchor: str) -> Any:
        """The calculator, folded."""
        return calculator_block(facts, self.env, entity, anchor)


DIRECTIVES = {"gate": PlaceGate, "check": PlaceCheck, "remedy": PlaceRemedy, "tolerance": PlaceTolerance,
              "calculator": PlaceCalculator}
