"""The work that options are for: streams proposed from the kinds, with ways among the options."""

from collections.abc import Iterator, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from itertools import islice, product

from optioneer.model.catalogue import Option
from optioneer.model.fact import Triangular
from optioneer.model.growth import Stream, Way
from optioneer.model.kinds.kind import UsualStream, UsualWay
from optioneer.model.kinds.usual import usual_kinds

MOST_WAYS = 24
"""Ways of one stream at most."""


def proposed_streams(
    options: Sequence[Option], machine: str, base_price: float
) -> tuple[Stream, ...]:
    """The streams that the kinds of some options propose, coarse on purpose.

    Parameters
    ----------
    base_price
        What it costs; margins are shares of it [money].
    """
    found: list[Stream] = []
    for usual in usual_kinds().stream:
        if machine in usual.machines:
            found.extend(_streams(usual, options, base_price))
    return tuple(found)


def _streams(usual: UsualStream, options: Sequence[Option], base_price: float) -> Iterator[Stream]:
    """One stream; or one for each option where several are of a kind and no rivals."""
    apart = _apart(usual, options)
    if apart:
        for number, option in enumerate(apart, 1):
            one = _stream(usual, [option], base_price / len(apart))
            if one is not None:
                label = {
                    "id": f"{usual.id}-{number}",
                    "name": f"{usual.name} ({option.name})"[:200],
                }
                yield one.model_copy(update=label)
        return
    one = _stream(usual, options, base_price)
    if one is not None:
        yield one


def _apart(usual: UsualStream, options: Sequence[Option]) -> list[Option]:
    """Options of one kind that each help by themselves, where a stream asks for nothing else."""
    if any(len(way.kinds) > 1 for way in usual.way):
        return []
    kinds = {way.kinds[0] for way in usual.way}
    own = [option for option in options if option.kind in kinds]
    rivals = len({option.slot or option.option for option in own}) < len(own)
    same = len({option.kind for option in own}) == 1
    return own if len(own) > 1 and same and not rivals else []


def _stream(usual: UsualStream, options: Sequence[Option], base_price: float) -> Stream | None:
    """A stream with the ways that the options allow; none where they allow none that is open."""
    ways = tuple(islice(_ways(usual, options), MOST_WAYS))
    standard = {option.option for option in options if option.standard}
    best = max((way.share for way in ways), default=0.0)
    if all(set(way.options) <= standard for way in ways if way.share == best):
        return None
    return Stream(
        id=usual.id,
        name=usual.name,
        chance=usual.chance,
        years=usual.years,
        margin=_shares_as_money(usual.margin, base_price),
        lasts_years=usual.lasts_years,
        fallback=usual.fallback,
        way=ways,
    )


def _ways(usual: UsualStream, options: Sequence[Option]) -> Iterator[Way]:
    by_kind: dict[str, list[Option]] = {}
    for option in options:
        by_kind.setdefault(option.kind or "", []).append(option)
    for way in sorted(usual.way, key=lambda way: -way.share):
        yield from _of_way(way, by_kind)


def _of_way(way: UsualWay, by_kind: Mapping[str, Sequence[Option]]) -> Iterator[Way]:
    for chosen in product(*(by_kind.get(kind, ()) for kind in way.kinds)):
        slots = [option.slot or option.option for option in chosen]
        barred = {other for option in chosen for other in option.excludes}
        names = tuple(option.option for option in chosen)
        if len(set(slots)) == len(slots) and not barred & set(names):
            yield Way(options=names, share=way.share)


def _shares_as_money(shares: Triangular, base_price: float) -> Triangular:
    low, likely, high = (two_digits(base_price * one) for one in _corners(shares))
    return Triangular(low=low, likely=max(low, likely), high=max(low, likely, high))


def _corners(range_: Triangular) -> tuple[float, float, float]:
    return range_.low, range_.likely, range_.high


def two_digits(amount: float) -> float:
    """An amount that is only known roughly, to two digits, half of one away from zero.

    Examples
    --------
    >>> two_digits(12345.0), two_digits(87.6), two_digits(18.5), two_digits(0.0)
    (12000.0, 88.0, 19.0, 0.0)
    """
    if amount <= 0:
        return 0.0
    exact = Decimal(repr(float(amount)))  # what is written: 1.85 is no less than a half
    last = Decimal(1).scaleb(exact.adjusted() - 1)
    return max(float(exact.quantize(last, rounding=ROUND_HALF_UP)), 0.01)
