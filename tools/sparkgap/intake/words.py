"""Words of a complaint: the same cutting in Python and in conf/static/js/intake.js."""

from __future__ import annotations

import re
import unicodedata

# Words that say nothing about the symptom. "no", "not" and "never" stay: they turn meanings round.
STOP_WORDS = frozenset(
    "a an and are as at be been but by can do does for from get gets got had has have i if in is it its it's just "
    "me my of on or our so that the their them then there they this to too up us was we what when which while "
    "who will with would you your please hello hi thanks also very really about after before because now still".split())
# Words that deny what follows at once or after a filler. "never" and "won't" are not among them: "never smelled
# gas like this" and "won't light, smell gas" are no denials.
NEGATIONS = frozenset(
    "no not without isn't isnt aren't arent wasn't wasnt doesn't doesnt don't dont didn't didnt can't cant "
    "cannot".split())
FILLERS = frozenset("a an any the really actually even of".split())
_ENDINGS = ("ings", "ing", "edly", "ed", "ers", "ies", "es", "s", "ly")
_WORD = re.compile(r"[a-z0-9]+(?:'[a-z]+)?")
_MARKS = re.compile("[\u0300-\u036f]")
_CLAUSE = re.compile(r"[.,;:!?()\n]+")


def plain(text: str) -> str:
    """Lower case, compatible forms (a full-width digit is a digit), no accents, straight apostrophes."""
    return _MARKS.sub("", unicodedata.normalize("NFKD", text.lower().replace("\u2019", "'")))


def words(text: str) -> list[str]:
    """Lower-case words without accents, in order; apostrophes inside words stay."""
    return _WORD.findall(plain(text))


def clauses(text: str) -> list[list[str]]:
    """The words of each part between punctuation marks."""
    return [_WORD.findall(part) for part in _CLAUSE.split(plain(text))]


def stem(word: str) -> str:
    """A crude stem: common endings off, at least three letters stay, a doubled last letter once."""
    for ending in _ENDINGS:
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            word = word[: -len(ending)]
            break
    if len(word) > 3 and word[-1] == word[-2] and word[-1] not in "aeiou":
        word = word[:-1]
    return word[:-1] if len(word) > 4 and word.endswith("e") else word


def terms(text: str) -> list[str]:
    """The stems of the words that carry meaning, in order, doubles kept."""
    return [stem(word) for word in words(text) if word not in STOP_WORDS]


def grams(word: str) -> list[str]:
    """The sorted pairs of neighbouring letters of a word with its edges marked, doubles once."""
    marked = f"<{word}>"
    return sorted({marked[i:i + 2] for i in range(len(marked) - 1)})
