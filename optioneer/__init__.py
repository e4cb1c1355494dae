"""Optioneer: what to order now on a new machine tool, what to retrofit, what to leave off.

The face of the library; everything else may move. What it gives is imported when it is first asked
for, so that ``import optioneer`` stays light.

>>> import optioneer
>>> case = optioneer.read_case(optioneer.demo_folder("second-mill"))
>>> told = optioneer.advice(optioneer.AdviceRequest(case))
>>> [one.option for one in told.options if one.verdict == "order now"]  # doctest: +ELLIPSIS
['...']
>>> told.advised.price > case.machine.base_price
True
>>> bare = optioneer.PackageRequest(case)  # no option named
>>> optioneer.package_value(bare).price == case.machine.base_price
True

Ways of paying and the site are asked for a package; `named_package` finds one by its name.

>>> case = optioneer.read_case(optioneer.demo_folder("small-mill"))
>>> bare = optioneer.named_package(case, "base")
>>> len(optioneer.cash(case, bare).ledgers) == len(case.paying.plan)
True
>>> optioneer.readiness(case, bare).ready_on_delivery_chance <= 1.0
True
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from optioneer.errors import CaseError, OptioneerError, RequestError
    from optioneer.files.case.demos import demo_folder
    from optioneer.files.case.read import read_case
    from optioneer.files.case.write import write_case
    from optioneer.model.case import Case
    from optioneer.study.advice.advice import advice, package_value
    from optioneer.study.advice.package_choice import named_package
    from optioneer.study.advice.request import AdviceRequest, PackageRequest
    from optioneer.study.cash.cash import cash
    from optioneer.study.ready.ready import readiness

__all__ = [
    "AdviceRequest",
    "Case",
    "CaseError",
    "OptioneerError",
    "PackageRequest",
    "RequestError",
    "advice",
    "cash",
    "demo_folder",
    "named_package",
    "package_value",
    "read_case",
    "readiness",
    "write_case",
]

_HOME = {
    "AdviceRequest": "study.advice.request",
    "Case": "model.case",
    "CaseError": "errors",
    "OptioneerError": "errors",
    "PackageRequest": "study.advice.request",
    "RequestError": "errors",
    "advice": "study.advice.advice",
    "cash": "study.cash.cash",
    "demo_folder": "files.case.demos",
    "named_package": "study.advice.package_choice",
    "package_value": "study.advice.advice",
    "read_case": "files.case.read",
    "readiness": "study.ready.ready",
    "write_case": "files.case.write",
}
"""Where each name of the face lives."""

__version__: str


def __getattr__(name: str) -> Any:
    """A name of the face, imported when it is first asked for; the version, looked up then."""
    if name == "__version__":
        return _version()
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOME[name]}"), name)


def _version() -> str:
    from importlib.metadata import (  # noqa: PLC0415 - takes time, and Ctrl-C must work meanwhile
        PackageNotFoundError,
        version,
    )

    try:
        return version("optioneer")
    except PackageNotFoundError:  # run from a checkout that was never installed
        return "0.0.0+checkout"


def __dir__() -> list[str]:
    """The names of the face."""
    return [*__all__, "__version__"]
