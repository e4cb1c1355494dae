"""The sheets of the entry workbook with one row a fact."""

from collections.abc import Callable, Sequence
from typing import Any

from pydantic import BaseModel, Field

from optioneer.forms.columns import Column, columns
from optioneer.forms.sheets import GROWTH, MACHINE, OPTIONS, PAYING, SITE, Facts, Listing
from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.fact import Fact
from optioneer.model.growth import Driver, Stream, Way
from optioneer.model.machine import Bundle, Package
from optioneer.model.paying import LeasePlan, LoanPlan, Paying, Regular, Stage, StagedPlan, Step
from optioneer.model.site import Compressor, Load, Opening, Site, Supply, Transformer
from optioneer.model.works import Item, Shutdown, Supplier, Task, Trade


class Loading(Fact):
    """One driver of a stream, in the form of a row."""

    driver: str = Field(description="Id of the driver.")
    loading: float = Field(description="Its weight on the stream, from -1 to 1.")


class Visit(Fact):
    """One call-out, in the form of a row."""

    name: str = Field(description="Name of the visit.")
    charge: float = Field(description="Fixed charge of one visit [money].")


def _visits(case: Case) -> Facts:
    return [("", Visit(name=name, charge=charge)) for name, charge in case.call_outs.items()]


def _loadings(case: Case) -> Facts:
    return [
        (stream.id, Loading(driver=driver, loading=loading))
        for stream in case.growth.stream
        for driver, loading in stream.drivers.items()
    ]


def _alone(facts: Callable[[Case], Sequence[BaseModel]]) -> Callable[[Case], Facts]:
    return lambda case: [("", fact) for fact in facts(case)]


def _paying(case: Case) -> Paying:
    return case.paying or Paying()


def _site(case: Case) -> Site:
    return case.site or Site()


def _inside(key: str) -> Callable[[Case], Facts]:
    """The stages or steps of all plans."""
    return lambda case: [
        (plan.id, one) for plan in _paying(case).plan for one in getattr(plan, key, ())
    ]


def _plan_columns() -> tuple[Column, ...]:
    """The columns of every kind of plan, each once; `kind` must be told."""
    found: dict[str, Column] = {}
    for model in (StagedPlan, LoanPlan, LeasePlan):
        for column in columns(model, "stages", "steps"):
            found.setdefault(column.heading, column)
    words = ("staged", "loan", "lease")
    found["kind"] = Column(
        **{**found["kind"].__dict__, "required": True, "kind": "word", "words": words}
    )
    return tuple(found.values())


def _listing(name: str, title: str, file: str, path: str, **more: Any) -> Listing:
    return Listing(name, title, file, tuple(path.split(".")), **more)


LISTINGS: tuple[Listing, ...] = (
    _listing(
        "call_outs",
        "What one field-service visit costs, by its name",
        MACHINE,
        "call_out",
        columns=columns(Visit),
        facts=_visits,
    ),
    _listing(
        "options",
        "The quote: one row an option",
        OPTIONS,
        "option",
        columns=columns(Option),
        facts=_alone(lambda case: case.catalogue.options),
    ),
    _listing(
        "bundles",
        "Options that cost less when ordered together",
        MACHINE,
        "bundle",
        columns=columns(Bundle),
        facts=_alone(lambda case: case.bundles),
    ),
    _listing(
        "packages",
        "Packages to be seen side by side with the advice",
        MACHINE,
        "package",
        columns=columns(Package),
        facts=_alone(lambda case: case.packages),
    ),
    _listing(
        "drivers",
        "Outside forces that make several kinds of work likelier together",
        GROWTH,
        "driver",
        columns=columns(Driver),
        facts=_alone(lambda case: case.growth.driver),
    ),
    _listing(
        "streams",
        "Kinds of work that may show up",
        GROWTH,
        "stream",
        columns=columns(Stream, "drivers", "way"),
        facts=_alone(lambda case: case.growth.stream),
    ),
    _listing(
        "loadings",
        "How much of a stream hangs on a driver; the squares of a stream sum to at most 1",
        GROWTH,
        "stream.drivers",
        columns=columns(Loading),
        facts=_loadings,
        parent="stream",
    ),
    _listing(
        "ways",
        "Sets of options that let the machine do a stream; the best one fitted counts",
        GROWTH,
        "stream.way",
        columns=columns(Way),
        facts=lambda case: [(one.id, way) for one in case.growth.stream for way in one.way],
        parent="stream",
    ),
    _listing(
        "regular",
        "Money that comes or goes every month whatever is ordered",
        PAYING,
        "account.regular",
        columns=columns(Regular),
        facts=_alone(lambda case: _paying(case).account.regular),
    ),
    _listing(
        "plans",
        "Ways of paying on offer",
        PAYING,
        "plan",
        columns=_plan_columns(),
        facts=_alone(lambda case: _paying(case).plan),
    ),
    _listing(
        "stages",
        "Payments to the dealer, by plan",
        PAYING,
        "plan.stages",
        columns=columns(Stage),
        facts=_inside("stages"),
        parent="plan",
    ),
    _listing(
        "steps",
        "Changes in the size of instalments, by plan",
        PAYING,
        "plan.steps",
        columns=columns(Step),
        facts=_inside("steps"),
        parent="plan",
    ),
    _listing(
        "transformers",
        "Transformers on hand",
        SITE,
        "transformer",
        columns=columns(Transformer),
        facts=_alone(lambda case: _site(case).transformer),
    ),
    _listing(
        "loads",
        "Loads on the service already, where no peak was measured",
        SITE,
        "load",
        columns=columns(Load),
        facts=_alone(lambda case: _site(case).load),
    ),
    _listing(
        "compressors",
        "Compressors on hand",
        SITE,
        "air.compressor",
        columns=columns(Compressor),
        facts=_alone(lambda case: _site(case).air.compressor),
    ),
    _listing(
        "openings",
        "Doors, aisles and turns on the way in",
        SITE,
        "opening",
        columns=columns(Opening),
        facts=_alone(lambda case: _site(case).opening),
    ),
    _listing(
        "supplies",
        "What can be bought for the site",
        SITE,
        "supply",
        columns=columns(Supply),
        facts=_alone(lambda case: _site(case).supply),
    ),
    _listing(
        "suppliers",
        "Who is paid, on what terms",
        SITE,
        "supplier",
        columns=columns(Supplier),
        facts=_alone(lambda case: _site(case).supplier),
    ),
    _listing(
        "trades",
        "Trades that come to the site",
        SITE,
        "trade",
        columns=columns(Trade),
        facts=_alone(lambda case: _site(case).trade),
    ),
    _listing(
        "shutdowns",
        "Days on which nobody works",
        SITE,
        "calendar.shutdown",
        columns=columns(Shutdown),
        facts=_alone(lambda case: _site(case).calendar.shutdown),
    ),
    _listing(
        "items",
        "What stands in the way",
        SITE,
        "item",
        columns=columns(Item),
        facts=_alone(lambda case: _site(case).item),
    ),
    _listing(
        "tasks",
        "Tasks of your own, and built-in ones that you change",
        SITE,
        "task",
        columns=columns(Task),
        facts=_alone(lambda case: _site(case).task),
    ),
)
"""The sheets with one row a fact."""
