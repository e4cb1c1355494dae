"""One entry of a file made a fact; what is wrong with it is gathered, the rest is kept."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from pydantic import BaseModel, ValidationError

from optioneer.errors import Fault
from optioneer.files.plain.sentences import Where, faults_of

M = TypeVar("M", bound=BaseModel)


@dataclass(frozen=True)
class ReadFact(Generic[M]):
    """A fact and what is wrong with it.

    Parameters
    ----------
    fact
        The fact; where there are faults, one that holds placeholders in their place, good enough to
        go on checking the rest of the case; none when nothing can be made of the entry.
    """

    fact: M | None
    faults: tuple[Fault, ...] = ()


def entry(
    model: type[M], raw: Mapping[str, Any], where: Where, *, stand_in: Mapping[str, Any]
) -> ReadFact[M]:
    """The fact that `raw` states.

    Parameters
    ----------
    raw
        Keys and values as read.
    where
        Names the place of a key path, for the faults.
    stand_in
        Values for required keys that are missing or wrong; with none for such a key there is no
        fact.
    """
    try:
        return ReadFact(model.model_validate(dict(raw)))
    except ValidationError as error:
        bad = {str(details["loc"][0]) for details in error.errors() if details["loc"]}
        kept = {key: value for key, value in raw.items() if key not in bad}
        faults = tuple(faults_of(error, model, where))
    try:
        return ReadFact(model.model_validate({**stand_in, **kept}), faults)
    except ValidationError:
        return ReadFact(None, faults)
