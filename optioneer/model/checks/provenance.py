"""What a case rests on that nobody has said, or that people say differently."""

from collections.abc import Iterator

from optioneer.errors import Fault
from optioneer.model.case import Case
from optioneer.model.checks.menu import place
from optioneer.model.kinds.kind import NOT_PLACED
from optioneer.model.origin import Origin
from optioneer.model.sources import disagreements, figures, origins

FILE = "sources.csv"


def notes(case: Case) -> Iterator[Fault]:
    """Figures that are invented, options that nobody has placed, words against words."""
    yield from _examples(case)
    for option in case.catalogue.options:
        if option.kind == NOT_PLACED:
            what = "nobody has said yet what it is, so that no work asks for it"
            allowed = "Give its kind, or name it in a way of a stream and leave the kind blank."
            yield Fault(place(option.option, "kind"), what, allowed)
    differing = disagreements(case)
    known = figures(case) if differing else {}
    for key, words in differing.items():
        said = ", ".join(map(_word, words))
        yield Fault(f"{FILE}, {key}", f"words differ: {said}", f"The case has {known[key]}.")


def _word(origin: Origin) -> str:
    day = f" on {origin.date}" if origin.date else ""
    return f"{origin.value} ({origin.who or origin.source}{day})"


def _examples(case: Case) -> Iterator[Fault]:
    if case.sources is None:
        return
    found = origins(case)
    invented = [key for key, source in found.items() if source == "example"]
    if invented:
        what = f"{len(invented)} of {len(found)} figures are invented examples"
        allowed = "Put your own in their place: until then the advice is an example, too."
        yield Fault(FILE, what, allowed)
