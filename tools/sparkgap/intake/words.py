"""Words of a complaint: the same cutting in Python and in conf/static/js/intake.js.

The lists of this module travel in the index, so that the browser has no second copy of them.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

# Words that say nothing about the symptom.
STOP_WORDS = frozenset(
    "a an and are as at be been but by can do does did for from get gets got had has have he her him his i if in into "
    "is it its just me my of on or our she so that the their them then there they this those to too up us was we were "
    "what when where which while who will with would could should you your please hello hi thanks thank also very "
    "really about after before because now still some any ill im ive id am being how why any anyone someone "
    "everything thing things seem seems like even think guess maybe ok okay well said says say told lol plz pls ugh "
    "um".split())
# Words that deny what follows. "never smelled gas like this" and "won't light smell gas" deny no smell: see DENIALS.
NEGATIONS = frozenset(
    "no not without isnt arent wasnt werent doesnt dont didnt cant cannot couldnt wont wouldnt never neither nor "
    "nothing none hasnt havent hardly barely aint dosent doesn nobody zero".split())
# Of these, the ones that take back a danger when they stand right before it.
DENIALS = frozenset(
    "no not without isnt arent wasnt werent doesnt dont didnt cant cannot hasnt havent nobody".split())
FILLERS = frozenset("a an any the really actually even of have had has get got feel".split())
CARRIERS = frozenset("of or like nor".split())  # "no smell of gas or smoke" denies all three
# A clause with one of these and no denial says that what it names is sound: "gas works fine".
SOUND = frozenset("fine ok okay good great perfect perfectly normal works work working strong".split())
TURNS = frozenset("but and however though although except while whereas yet plus then until till cause cuz".split())
REACH = 4  # so many words that carry meaning are denied by one denial

_WORD = re.compile(r"[a-z0-9]+(?:'[a-z]+)?")
_MARKS = re.compile("[\u0300-\u036f]")
_SUFFIX = re.compile(r"'(?:s|ll|d|re|ve|m)$")
_BREAK = re.compile(r"[.,;:!?()\n]+")
_DOUBLED = "bdgmnprt"


@dataclass(frozen=True)
class Said:
    """One word of a complaint: as plain text, its stem, and the number of its clause."""

    word: str
    stem: str
    clause: int


def plain(text: str) -> str:
    """Lower case, compatible forms (a full-width digit is a digit), no accents, straight apostrophes."""
    return _MARKS.sub("", unicodedata.normalize("NFKD", text.lower().replace("\u2019", "'")))


def words(text: str) -> list[str]:
    """Lower-case words without accents, in order; of apostrophes only the n't of a denial leaves a trace."""
    return [_SUFFIX.sub("", word).replace("'", "") for word in _WORD.findall(plain(text))]


def cut(text: str) -> list[Said]:
    """The words with their stems and clauses: punctuation ends a clause, and so does a word that turns."""
    found, clause = [], 0
    for part in _BREAK.split(plain(text)):
        clause += 1
        for word in words(part):
            if word in TURNS:
                clause += 1
            found.append(Said(word, stem(word), clause))
    return found


def stem(word: str) -> str:
    """A crude stem: plural, -ing, -ed, -ly and a final e off; at least three letters stay."""
    if word[-1:] == "s" and word[-2:] not in ("ss", "us", "is") and len(word) > 3:
        word = word[:-1]
    for ending in ("ing", "ed", "ly"):
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            word = word[: -len(ending)]
            break
    if len(word) > 3 and word[-1] == word[-2] and word[-1] in _DOUBLED:
        word = word[:-1]
    if len(word) > 3 and word[-1] == "e" and word[-2] not in "aeou":  # "flue" is no "flu"
        word = word[:-1]
    return word[:-1] + "i" if len(word) > 2 and word[-1] == "y" and word[-2] not in "aeou" else word


def grams(word: str) -> list[str]:
    """The sorted pairs of neighbouring letters of a word with its edges marked, doubles once."""
    marked = f"<{word}>"
    return sorted({marked[i:i + 2] for i in range(len(marked) - 1)})


def denied(said: list[Said]) -> list[bool]:
    """For each word whether a danger that begins there is taken back: "no smell", "isn't any smell of gas"."""
    result: list[bool] = []
    negated = False
    for at, one in enumerate(said):
        if at and one.clause != said[at - 1].clause:
            negated = False
        result.append(negated)
        carried = one.word in FILLERS or one.word in CARRIERS or (at + 1 < len(said) and said[at + 1].word in CARRIERS)
        negated = one.word in DENIALS or (negated and carried)
    return result
