"""The file of kinds read, and what it says of an option's blank figures."""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from pydantic import ValidationError

from optioneer.errors import CaseError, Fault
from optioneer.model.kinds.kind import Fitting, Kinds

FILE = "kinds.toml"


@cache
def usual_kinds() -> Kinds:
    """The kinds that the package brings along.

    Raises
    ------
    CaseError
        Somebody has mended the file so that it can no longer be read.
    """
    return kinds_of(files("optioneer.model.kinds").joinpath(FILE).read_text(encoding="utf-8"))


def kinds_of(text: str) -> Kinds:
    """The kinds that a text states.

    Parameters
    ----------
    text
        The text of such a file.

    Raises
    ------
    CaseError
        It is no TOML, or an entry is not as it must be; the place is named.
    """
    try:
        return Kinds.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise CaseError([Fault(FILE, f"is no TOML: {error}", "Mend the line.")]) from error
    except ValidationError as error:
        raise CaseError([_fault(one) for one in error.errors()[:20]]) from error


def _fault(found: Any) -> Fault:
    told = found.get("ctx", {})
    where = ", ".join((FILE, *(str(part) for part in found["loc"])))
    return Fault(where, str(told.get("what", found["msg"])), str(told.get("allowed", "Mend it.")))


def usual_figures(kind: str, price: float, fitting: Fitting | None = None) -> dict[str, Any]:
    """What is usual for an option of a kind, by field of `Option`.

    Parameters
    ----------
    kind
        Id of the kind; of one that is unknown, or is a charge, nothing is usual.
    price
        Its price with the order [money].
    fitting
        Whether it can be fitted later, where that is told; else as is usual.
    """
    known = usual_kinds()
    found = known.by_id.get(kind)
    if found is None or found.fit is None or found.keep is None:
        return {}
    fit, keep = known.fit[found.fit], known.keep[found.keep]
    later = (fitting or fit.fitting) == "retrofittable"
    return {
        "fitting": fitting or fit.fitting,
        "multiplier": fit.multiplier if later else None,
        "downtime_days": fit.days if later else 0.0,
        "upkeep_per_year": round(keep.upkeep * price, 2),
        "resale_share": keep.resale,
        "kva": found.kva,
        "air_l_min": found.air_l_min,
    }


def filled_in(raw: Mapping[str, Any]) -> Mapping[str, Any]:
    """The fields of an option, those left blank as is usual for its kind.

    Parameters
    ----------
    raw
        Fields by name, as they are told.
    """
    kind, price = raw.get("kind"), raw.get("price")
    if not isinstance(kind, str) or not isinstance(price, int | float):
        return raw
    fitting = raw.get("fitting")
    told = fitting if fitting in {"factory-only", "retrofittable"} else None
    figures = usual_figures(kind, float(price), told)
    stated = {key: value for key, value in raw.items() if key not in figures or value is not None}
    return {**figures, **stated}
