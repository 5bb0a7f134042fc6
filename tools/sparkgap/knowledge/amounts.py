"""From written values to amounts, conditions, minutes and plates, collecting problems on the way."""

from __future__ import annotations

from typing import Any

from ..names import offer
from ..problems import Problem
from ..quantities import QUANTITIES, QuantityError, parse_quantity
from .acts import Minutes
from .entities import Amount, Condition, PlateValue, Term
from .yaml_reader import Document


class Converter:
    """Turns the parts of one document into typed values; what does not convert becomes a problem and None.

    ``broken`` are ids of which a problem has been reported already; None: the plate vocabulary cannot be read.
    """

    def __init__(self, document: Document, plate: dict[str, PlateValue], broken: set[str] | None = frozenset()) -> None:
        self.document = document
        self.plate = plate
        self.broken = broken
        self._parts: dict[int, dict[tuple, list[tuple]]] = {}

    def problem(self, path: tuple, code: str, message: str, fix: str = "") -> None:
        """Record a problem at a part of the document."""
        self.document.problems.append(Problem.at(self.document.at(path), code, message, fix))

    def amount(self, text: Any, quantity: str, path: tuple) -> Amount | None:
        """A written quantity as an amount of the wanted kind."""
        if text is None or quantity not in QUANTITIES:
            return None
        try:
            parsed = parse_quantity(str(text), quantity)
        except QuantityError as error:
            self.problem(path, "quantity-invalid", f"{'.'.join(map(str, path))}: {error}", error.fix)
            return None
        return Amount(str(text), quantity, parsed.value_si)

    def positive(self, text: Any, quantity: str, path: tuple, *, zero: bool = False) -> Amount | None:
        """An amount that must lie above zero, or not below it; what does not is a problem and None."""
        amount = self.amount(text, quantity, path)
        if amount is None or amount.si > 0 or (zero and amount.si == 0):
            return amount
        self.problem(path, "quantity-invalid", f"{'.'.join(map(str, path))}: {text} is "
                     f"{'below' if zero else 'not above'} zero", "check the sign")
        return None

    def rising(self, low: Amount | None, high: Amount | None, path: tuple, *, apart: bool = False) -> None:
        """Refuse a low limit above the high one; ``apart``: nothing lies between two that are the same."""
        if low and high and (low.si > high.si or (apart and low.si == high.si)):
            word = "above" if low.si > high.si else "the same as"
            self.problem(path, "quantity-invalid", f"the low limit {low.text} is {word} the high limit {high.text}",
                         "exchange them" if low.si > high.si else "leave room between them")

    def condition(self, raw: dict | None, path: tuple) -> Condition:
        """A condition on plate values; unknown names and values are problems."""
        terms = (self._term(name, value, (*path, name)) for name, value in sorted((raw or {}).items()))
        return tuple(term for term in terms if term)

    def _term(self, name: str, value: Any, path: tuple) -> Term | None:
        known = self.plate.get(name)
        if known is None:
            if self.broken is not None and name not in self.broken:
                self.problem(path, "plate-invalid", f"{name!r} is no data-plate value", offer(name, self.plate))
            return None
        if isinstance(value, dict):
            return self._band(known, value, path)
        found = [self.plate_value(known, item, path) for item in (value if isinstance(value, list) else [value])]
        if any(item is None for item in found):
            return None
        return Term(name, any=tuple(found))

    def _band(self, known: PlateValue, value: dict, path: tuple) -> Term | None:
        if known.kind != "quantity":
            self.problem(path, "plate-invalid", f"{known.id} is a choice and has no band",
                         f"one or more of {', '.join(known.values)}")
            return None
        low = self.amount(value.get("at_least"), known.quantity, (*path, "at_least"))
        high = self.amount(value.get("below"), known.quantity, (*path, "below"))
        self.rising(low, high, (*path, "at_least"), apart=True)
        return Term(known.id, low=low.si if low else None, high=high.si if high else None)

    def plate_value(self, known: PlateValue, value: Any, path: tuple) -> Any:
        """A plate value for the engines: the text of a choice, or the magnitude in SI; None when refused."""
        if known.kind == "choice":
            if value in known.values:
                return str(value)
            self.problem(path, "plate-invalid", f"{known.id} cannot be {value!r}", offer(str(value), known.values))
            return None
        amount = self.amount(value, known.quantity, path)
        if amount is None:
            return None
        for limit, beyond, word in ((known.low, -1, "below"), (known.high, 1, "above")):
            if limit and (amount.si - limit.si) * beyond > 0:
                self.problem(path, "plate-invalid", f"{known.id} {value} is {word} {limit.text}",
                             "check the number and its unit")
                return None
        return amount.si

    def minutes(self, raw: Any) -> Minutes:
        """Minutes as a number or as a calculator's output."""
        if isinstance(raw, dict):
            return Minutes(float(raw["typical"]), raw["calculator"], raw["output"], float(raw.get("plus", 0)))
        return Minutes(float(raw or 0))

    def below(self, path: tuple) -> dict[tuple, Any]:
        """The places of everything below a path, relative to it."""
        size, places = len(path), self.document.places
        if size not in self._parts:  # asked for every entity of a document: one pass for each length
            parts = self._parts[size] = {}
            for key in places:
                if len(key) >= size:
                    parts.setdefault(key[:size], []).append(key)
        return {key[size:]: places[key] for key in self._parts[size].get(path, ())}
