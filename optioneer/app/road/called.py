"""What stands on the site, who works there and the places, as people call them."""

from optioneer.model.site import Site
from optioneer.study.ready.answers import Readiness


def trade_called(site: Site, trade: str) -> str:
    """The name of a trade."""
    names = {one.id: one.name for one in site.trade}
    return names.get(trade) or in_places(trade)


def item_called(site: Site, item: str) -> str:
    """The name of something that moves."""
    names = {one.id: one.name for one in site.item}
    return names.get(item) or in_places(item)


def in_places(text: str) -> str:
    """Places of the floor, read aloud.

    Examples
    --------
    >>> in_places("side+back-2")
    'side and back 2'
    """
    return text.replace("-", " ").replace("+", " and ")


def with_names(site: Site, answer: Readiness) -> Readiness:
    """The same with names in its bookings and moves, for pages that only show it."""
    return answer.model_copy(
        update={
            "purchases": tuple(
                one.model_copy(
                    update={
                        "what": one.what.replace(f"{one.id}:", f"{trade_called(site, one.id)}:")
                    }
                )
                for one in answer.purchases
            ),
            "bookings": tuple(
                one.model_copy(update={"trade": trade_called(site, one.trade)})
                for one in answer.bookings
            ),
            "moves": tuple(
                one.model_copy(update={"item": item_called(site, one.item)}) for one in answer.moves
            ),
            "rings": tuple(
                tuple(item_called(site, item) for item in ring) for ring in answer.rings
            ),
        }
    )
