"""The same case on other draws."""

from pydantic import ValidationError

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.growth import Growth


def with_draws(case: Case, futures: int | None = None, seed: int | None = None) -> Case:
    """`case` valued on so many futures, drawn with this seed; what is None stays.

    Raises
    ------
    RequestError
        A number is outside what the model allows.
    """
    asked = {"futures": futures, "seed": seed}
    changes = {name: value for name, value in asked.items() if value is not None}
    try:
        growth = Growth.model_validate({**dict(case.growth), **changes})
    except ValidationError as error:
        raise RequestError(_sentence(error)) from error
    return case.model_copy(update={"growth": growth})


def _sentence(error: ValidationError) -> str:
    first = error.errors()[0]
    return f"{first['loc'][0]}: {first['input']} is not allowed. {first['msg']}."
