"""From what an author writes about a check to the numbers the belief multiplies.

An author names, answer by answer, the faults it speaks for, in words or numbers, and leaves one answer of
each fault out. The result is one complete row of probabilities for each named fault and one, ``"*"``, for all
others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

OTHERWISE = "*"
_SLACK = 1e-9


class LikelihoodError(ValueError):
    """Likelihoods that make no distribution. ``fix`` says how to mend them."""

    def __init__(self, message: str, fix: str) -> None:
        super().__init__(message)
        self.message = message
        self.fix = fix


def rows(
    answers: Sequence[str],
    clear: str,
    otherwise: Mapping[str, float | str] | None,
    listed: Mapping[str, Mapping[str, float | str]],
    *,
    words: Mapping[str, float],
    clear_default: float,
    floor: float,
    shows: Mapping[str, float] | None = None,
) -> dict[str, list[float]]:
    """Complete rows, each in the order of ``answers``, clamped to [floor, 1 − floor] and summing to one.

    ``listed`` is answer → hypothesis → word or number. A hypothesis leaves out at most one answer, which gets
    what is left of one. ``otherwise`` is the row of every hypothesis that is not listed; the answers it
    leaves out share its rest evenly, and without it the clear answer gets ``clear_default``. ``shows`` is,
    for an intermittent fault, the probability that it shows while the check is made: its row is mixed with
    the otherwise row. Raises LikelihoodError.
    """
    if clear not in answers:
        raise LikelihoodError(f"the clear answer {clear!r} is not an answer", f"name one of {_list(answers)}")
    _known_answers(answers, listed, "likelihoods name")
    base = _otherwise_row(answers, clear, otherwise, words, clear_default, floor)
    result = {OTHERWISE: base}
    for hypothesis in sorted({name for row in listed.values() for name in row}):
        given = {
            answer: _number(row[hypothesis], words, f"{hypothesis} on {answer}")
            for answer, row in listed.items()
            if hypothesis in row
        }
        row = _clamp(_complete(answers, given, hypothesis), floor)
        share = (shows or {}).get(hypothesis)
        result[hypothesis] = row if share is None else _mix(row, base, share, hypothesis)
    return result


def _otherwise_row(
    answers: Sequence[str],
    clear: str,
    otherwise: Mapping[str, float | str] | None,
    words: Mapping[str, float],
    clear_default: float,
    floor: float,
) -> list[float]:
    stated = otherwise or {clear: clear_default}
    _known_answers(answers, stated, "otherwise names")
    given = {answer: _number(value, words, f"otherwise on {answer}") for answer, value in stated.items()}
    rest = _rest(answers, given, "otherwise")
    left_out = [answer for answer in answers if answer not in given]
    return _clamp([given[answer] if answer in given else rest / len(left_out) for answer in answers], floor)


def _complete(answers: Sequence[str], given: Mapping[str, float], hypothesis: str) -> list[float]:
    left_out = [answer for answer in answers if answer not in given]
    if len(left_out) > 1:
        raise LikelihoodError(
            f"{hypothesis} leaves out {len(left_out)} answers: {_list(left_out)}",
            "give it a likelihood on all answers but one; that one gets the rest",
        )
    rest = _rest(answers, given, hypothesis)
    return [given.get(answer, rest) for answer in answers]


def _rest(answers: Sequence[str], given: Mapping[str, float], name: str) -> float:
    total = 0.0
    for answer in answers:
        total += given.get(answer, 0.0)
    if total > 1.0 + _SLACK:
        raise LikelihoodError(f"the likelihoods of {name} sum to {total:.4g}", "they may sum to one at most")
    if len(given) == len(answers) and total < 1.0 - _SLACK:
        raise LikelihoodError(
            f"the likelihoods of {name} sum to {total:.4g}", "make them sum to one, or leave one answer out"
        )
    return max(0.0, 1.0 - total)


def _number(value: float | str, words: Mapping[str, float], place: str) -> float:
    if isinstance(value, str):
        if value not in words:
            fix = f"use one of {_list(words)} or a number"
            raise LikelihoodError(f"unknown word {value!r} for {place}", fix)
        return float(words[value])
    if isinstance(value, bool) or not 0.0 <= value <= 1.0:
        raise LikelihoodError(f"{value!r} for {place} is no probability", "use a number from 0 to 1")
    return float(value)


def _known_answers(answers: Sequence[str], named: Mapping, verb: str) -> None:
    for answer in sorted(named):
        if answer not in answers:
            fix = f"name one of {_list(answers)}"
            raise LikelihoodError(f"{verb} {answer!r}, which is not an answer", fix)


def _clamp(row: Sequence[float], floor: float) -> list[float]:
    clamped = [min(1.0 - floor, max(floor, value)) for value in row]
    total = 0.0
    for value in clamped:
        total += value
    return [value / total for value in clamped]


def _mix(row: Sequence[float], base: Sequence[float], share: float, hypothesis: str) -> list[float]:
    if not 0.0 <= share <= 1.0:
        raise LikelihoodError(f"{hypothesis} shows with {share!r}", "use a probability from 0 to 1")
    return [share * p + (1.0 - share) * q for p, q in zip(row, base, strict=True)]


def _list(names: Sequence[str] | Mapping) -> str:
    return ", ".join(names)
