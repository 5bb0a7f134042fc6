"""What a number measures: exponents over the base units, and a kind where the exponents do not tell enough.

Kinds, and why they exist:

``temperature``
    a point on the scale. A temperature difference has the same exponent but no kind: 70 °F on the
    thermometer and a rise of 70 °F are different things.
``gauge``, ``absolute``
    a pressure above the air's, and one above nothing. A pressure that a formula or a literal yields has no
    kind and goes with either; gauge and absolute never go with each other.
``heating value``
    heat per volume, which has the exponents of a pressure and nothing else in common with one.
``text``, ``truth``
    a plate value chosen from a list, and the result of a comparison.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

BASES = ("m", "kg", "s", "A", "K", "USD")
_SUPERSCRIPTS = str.maketrans("-0123456789/", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹ᐟ")


@dataclass(frozen=True)
class Dimension:
    """Exponents in the order of :data:`BASES`, and a kind."""

    exponents: tuple[Fraction, ...] = (Fraction(0),) * len(BASES)
    kind: str = ""

    @classmethod
    def of(cls, kind: str = "", **powers: int | Fraction) -> Dimension:
        """A dimension by base unit: ``Dimension.of(kg=1, m=-3)``."""
        return cls(tuple(Fraction(powers.get(base, 0)) for base in BASES), kind)

    @property
    def plain(self) -> bool:
        """Whether this is a number without a unit."""
        return not self.kind and not any(self.exponents)

    def __mul__(self, other: Dimension) -> Dimension:
        return Dimension(tuple(a + b for a, b in zip(self.exponents, other.exponents, strict=True)))

    def __truediv__(self, other: Dimension) -> Dimension:
        return self * other**-1

    def __pow__(self, power: int | Fraction) -> Dimension:
        return Dimension(tuple(exponent * power for exponent in self.exponents))

    def fits(self, other: Dimension) -> bool:
        """Whether a value of one may stand for a value of the other: what has the
        exponents of a pressure and no kind fits every kind of them."""
        if self.exponents != other.exponents:
            return False
        unsaid = self.exponents == PRESSURE.exponents and "" in (self.kind, other.kind)
        return unsaid or self.kind == other.kind

    def text(self) -> str:
        """A spelling that programs compare: ``kg*m^-1*s^-2``, ``K temperature``, ``1``."""
        powers = [
            base if exponent == 1 else f"{base}^{exponent}"
            for base, exponent in zip(BASES, self.exponents, strict=True)
            if exponent
        ]
        return " ".join(filter(None, ["*".join(powers) or ("" if self.kind else "1"), self.kind]))

    def symbols(self) -> str:
        """The base units as a person writes them: ``kg·m⁻³``."""
        return "·".join(
            base + ("" if exponent == 1 else str(exponent).translate(_SUPERSCRIPTS))
            for base, exponent in zip(BASES, self.exponents, strict=True)
            if exponent
        )


PLAIN = Dimension()
TEXT = Dimension(kind="text")
TRUTH = Dimension(kind="truth")
TEMPERATURE = Dimension.of("temperature", K=1)
TEMPERATURE_DIFFERENCE = Dimension.of(K=1)
PRESSURE = Dimension.of(kg=1, m=-1, s=-2)
GAUGE = Dimension.of("gauge", kg=1, m=-1, s=-2)
HEATING_VALUE = Dimension.of("heating value", kg=1, m=-1, s=-2)
ABSOLUTE = Dimension.of("absolute", kg=1, m=-1, s=-2)
