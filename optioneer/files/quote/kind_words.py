"""The kind of option that a line of a list means, by its words, where they leave no doubt."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from optioneer.files.quote.columns import normal
from optioneer.model.kinds.kind import Kinds
from optioneer.model.kinds.usual import usual_kinds

RIVAL = 0.6
"""A second kind whose words are so long, beside those of the first, puts a line in doubt."""

MOST_CANDIDATES = 4
"""So many kinds are offered where a line is in doubt."""

_PART = re.compile(r"[,;:()\[\]/+&|]|\s[-\u2013\u2014]\s|\.\s")
"""What parts a line into what it is and what is told of it."""


@dataclass(frozen=True)
class Recognised:
    """What a line may mean.

    Parameters
    ----------
    kind
        Id of the kind, '' where it is in doubt.
    candidates
        Kinds that its words name, the likeliest first.
    """

    kind: str
    candidates: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Hit:
    """A phrase of a kind that stands in a line.

    Parameters
    ----------
    weight
        Letters of the phrase.
    words
        Places of its words in the line.
    charge
        Whether the kind is a charge that comes with the machine: of two of them each will do.
    """

    kind: str
    weight: int
    words: frozenset[int]
    charge: bool


def kind_meant(text: str, machine: str = "") -> Recognised:
    """The kind of option that a text means.

    The longest phrase counts. What stands behind a comma or a word such as `with` tells what goes
    with the thing, not what it is; a second thing named beside the first, a word such as `without`,
    or a kind that this machine cannot have puts the line in doubt; '' is a machine nobody knows.
    """
    words, head = _words(text)
    named = _kind_called(" ".join(words), machine)
    if named:
        return Recognised(named, (named,))
    hits = sorted(_hits(words), key=lambda hit: -hit.weight)
    best = _longest_hit(hits, head)
    names = tuple(dict.fromkeys(hit.kind for hit in hits))
    candidates = tuple(dict.fromkeys([best.kind, *names] if best else names))[:MOST_CANDIDATES]
    if best is None or _doubtful(best, hits, words, head=head, machine=machine):
        return Recognised("", candidates)
    return Recognised(best.kind, candidates)


def _kind_called(plain: str, machine: str) -> str:
    """The kind that a text is the very name or id of, '' where it is none's."""
    known = usual_kinds().kind
    named = [one.id for one in known if plain in {normal(one.name), normal(one.id)}]
    fits = named and (not machine or machine in usual_kinds().by_id[named[0]].machines)
    return named[0] if fits else ""


def machine_kind(text: str) -> str:
    """The kind of machine that a text names, '' where it names none or two.

    Examples
    --------
    >>> machine_kind("CNC-Drehmaschine DM 42"), machine_kind("Machining centre"), machine_kind("X")
    ('lathe', 'mill', '')
    """
    words, _ = _words(text)
    found = {
        kind.id: max((_weight(p) for p in kind.words if _places(p, words) is not None), default=0)
        for kind in usual_kinds().machine
    }
    most = max(found.values())
    best = [name for name, weight in found.items() if weight == most]
    return best[0] if most and len(best) == 1 else ""


def _words(text: str) -> tuple[tuple[str, ...], int]:
    """The words of a text, and how many of them stand before what is only told of it."""
    known = usual_kinds()
    first = _PART.split(text, maxsplit=1)[0]
    head, words = normal(first).split(), normal(text).split()
    joint = next((i for i, word in enumerate(head) if word in known.joining), len(head))
    if all(_is_neutral(word, known) for word in head[:joint]):  # '12: ...', 'Option, ...'
        rest = words[len(head) :] if joint == len(head) else words[joint + 1 :]
        later = next((i for i, word in enumerate(rest) if word in known.joining), len(rest))
        joint = len(words) - len(rest) + later
    return tuple(words), joint


def _is_neutral(word: str, known: Kinds) -> bool:
    return not any(map(str.isalpha, word)) or any(_fits(one, word) for one in known.neutral)


def _fits(pattern: str, word: str) -> bool:
    """Whether a word is as a phrase has it; * stands for any letters."""
    if "*" not in pattern:
        return word == pattern
    return _expression(pattern).fullmatch(word) is not None


@cache
def _expression(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern.replace("*", ".*"))


def _weight(phrase: str) -> int:
    return sum(character.isalnum() for character in phrase)


def _places(phrase: str, words: Sequence[str]) -> frozenset[int] | None:
    """Where the words of a phrase stand in a line, none unless all do."""
    places = []
    for pattern in phrase.split():
        here = [i for i, w in enumerate(words) if i not in places and _fits(pattern, w)]
        if not here:
            return None
        places.append(here[0])
    return frozenset(places)


def _hits(words: Sequence[str]) -> Iterator[_Hit]:
    """Every phrase of every kind that stands in a line."""
    for kind in usual_kinds().kind:
        for phrase in kind.phrases:
            places = _places(phrase, words)
            if places is not None:
                yield _Hit(kind.id, _weight(phrase), places, kind.charge)


def _longest_hit(hits: Sequence[_Hit], head: int) -> _Hit | None:
    """The longest phrase that has a word in what the line is, not in what is told of it."""
    return next((hit for hit in hits if min(hit.words) < head), None)


def _doubtful(
    best: _Hit, hits: Sequence[_Hit], words: Sequence[str], *, head: int, machine: str
) -> bool:
    known = usual_kinds()
    if machine and machine not in known.by_id[best.kind].machines:
        return True
    turned = {i for i, w in enumerate(words) if any(_fits(one, w) for one in known.doubtful)}
    if turned - best.words:
        return True
    rivals = [hit for hit in hits if hit.kind != best.kind and min(hit.words) < head]
    rivals = [hit for hit in rivals if not (hit.charge and best.charge)]
    return any(hit.weight >= RIVAL * best.weight and not _part_of(hit, best) for hit in rivals)


def _part_of(hit: _Hit, best: _Hit) -> bool:
    """Whether a shorter phrase says no more than the best one does."""
    return hit.words <= best.words and hit.weight < best.weight
