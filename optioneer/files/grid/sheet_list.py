"""Every table of a case that people edit in a grid, in the order of the work."""

from collections.abc import Mapping, Sequence

from optioneer.files.grid.sheets import Sheet
from optioneer.model import growth, machine, paying, site, works

GROUPS: Mapping[str, Sequence[Sheet]] = {
    "Machine": (
        Sheet("machine", "Machine", "machine.toml", ("machine",), (machine.Machine,), listed=False),
        Sheet("hours", "Hours", "machine.toml", ("hours",), (machine.Hours,), listed=False),
        Sheet("dates", "Dates", "machine.toml", ("dates",), (machine.Dates,), listed=False),
        Sheet("call-outs", "Call-outs", "machine.toml", ("call_out",)),
    ),
    "Options": (Sheet("options", "Options", "options.csv"),),
    "Packages": (
        Sheet("packages", "Packages to compare", "machine.toml", ("package",), (machine.Package,)),
        Sheet("bundles", "Bundles", "machine.toml", ("bundle",), (machine.Bundle,)),
    ),
    "Work": (
        Sheet("streams", "Work streams", "growth.toml", ("stream",), (growth.Stream,)),
        Sheet("ways", "Ways to do the work", "growth.toml", ("stream", "way"), (growth.Way,)),
        Sheet("drivers", "Drivers", "growth.toml", ("driver",), (growth.Driver,)),
        Sheet("growth", "Horizon and rates", "growth.toml", (), (growth.Growth,), listed=False),
    ),
    "Paying": (
        Sheet(
            "plans",
            "Ways of paying",
            "paying.toml",
            ("plan",),
            (paying.StagedPlan, paying.LoanPlan, paying.LeasePlan),
        ),
        Sheet("stages", "Stages", "paying.toml", ("plan", "stages"), (paying.Stage,)),
        Sheet("steps", "Steps of instalments", "paying.toml", ("plan", "steps"), (paying.Step,)),
        Sheet("account", "Account", "paying.toml", ("account",), (paying.Account,), listed=False),
        Sheet(
            "regular",
            "The rest of the business",
            "paying.toml",
            ("account", "regular"),
            (paying.Regular,),
        ),
        Sheet(
            "pay-days",
            "Business days",
            "paying.toml",
            ("calendar",),
            (paying.PayDays,),
            listed=False,
        ),
        Sheet(
            "sales-tax",
            "Sales tax",
            "paying.toml",
            ("sales_tax",),
            (paying.SalesTax,),
            listed=False,
        ),
        Sheet(
            "income-tax",
            "Income tax",
            "paying.toml",
            ("income_tax",),
            (paying.IncomeTax,),
            listed=False,
        ),
        Sheet(
            "use", "Plan the advice counts on", "paying.toml", (), (paying.Paying,), ("use",), False
        ),
    ),
    "Site": (
        Sheet("shop", "The shop", "site.toml", ("shop",), (site.Shop,), listed=False),
        Sheet("needs", "The machine's needs", "site.toml", ("needs",), (site.Needs,), listed=False),
        Sheet("air", "Compressed air", "site.toml", ("air",), (site.Air,), listed=False),
        Sheet("compressors", "Compressors", "site.toml", ("air", "compressor"), (site.Compressor,)),
        Sheet("transformers", "Transformers", "site.toml", ("transformer",), (site.Transformer,)),
        Sheet("loads", "Loads on the service", "site.toml", ("load",), (site.Load,)),
        Sheet("openings", "Openings on the way in", "site.toml", ("opening",), (site.Opening,)),
        Sheet("supplies", "What can be bought", "site.toml", ("supply",), (site.Supply,)),
        Sheet("suppliers", "Suppliers", "site.toml", ("supplier",), (works.Supplier,)),
        Sheet("trades", "Trades", "site.toml", ("trade",), (works.Trade,)),
        Sheet("crew", "Own crew", "site.toml", ("crew",), (works.Crew,), listed=False),
        Sheet("items", "What stands there", "site.toml", ("item",), (works.Item,)),
        Sheet("tasks", "Tasks", "site.toml", ("task",), (works.Task,)),
        Sheet(
            "calendar",
            "Working days",
            "site.toml",
            ("calendar",),
            (works.WorkCalendar,),
            listed=False,
        ),
        Sheet("shutdowns", "Weeks off", "site.toml", ("calendar", "shutdown"), (works.Shutdown,)),
        Sheet("plan", "The plan", "site.toml", ("plan",), (works.SitePlan,), listed=False),
    ),
}
"""Sheets by what people call the part of the case."""
SHEETS: Mapping[str, Sheet] = {sheet.word: sheet for sheets in GROUPS.values() for sheet in sheets}
"""Sheets by their word."""
