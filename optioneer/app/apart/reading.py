"""The texts of a case made into the case, or into everything that is wrong with them."""

from dataclasses import dataclass

from optioneer.errors import CaseError, Fault, RequestError
from optioneer.model.case import Case
from optioneer.study.problem.effort import Progress


@dataclass(frozen=True)
class Read:
    """What was made of the texts of a draft.

    Parameters
    ----------
    case
        The case, first chips dated by its site where that decides; none where there are faults.
    stated
        The case exactly as the texts state it.
    faults
        What is wrong, in the words of `optioneer check`.
    notices
        What is no fault but should be known.
    """

    case: Case | None
    faults: tuple[Fault, ...] = ()
    notices: tuple[Fault, ...] = ()
    stated: Case | None = None


def read(
    name: str, texts: tuple[tuple[str, str], ...], *, progress: Progress | None = None
) -> Read:
    """The case that texts, each with the name of its file, state."""
    del progress  # it is quick
    from optioneer.files.case.read import reading_of  # noqa: PLC0415 - pages that need it not load it not
    from optioneer.study.ready.first_chips import with_first_chips  # noqa: PLC0415 - the engine loads when asked

    try:
        found = reading_of(name, dict(texts))
        return Read(with_first_chips(found.case), notices=found.notices, stated=found.case)
    except CaseError as error:
        return Read(None, faults=error.faults)
    except RequestError as error:  # its site gives no day of first chips
        where, _, what = str(error).partition(": ")
        return Read(None, faults=(Fault(where, what.removesuffix(".")),))
