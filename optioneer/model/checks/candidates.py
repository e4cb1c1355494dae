"""Checks on what can be ordered: options, bundles, candidate packages, the bare machine."""

from collections.abc import Collection, Iterator

from optioneer.errors import Fault
from optioneer.model.case import Case
from optioneer.model.checks.compatibility import Orders, TooTangledError
from optioneer.model.checks.menu import FILE, place, unknown
from optioneer.model.machine import Bundle, Package

MACHINE = "machine.toml"
TANGLED = "requirements and exclusions are too entangled to decide what can be ordered"
OURS = {
    "base": "the machine with nothing beyond standard",
    "all": "the dearest package",
    "advised": "the package that is advised",
}
"""Ids of packages that the answers use."""

REVIEW = "Check `requires`, `excludes`, `slot` and `standard` of these options."


def standard_faults(case: Case) -> Iterator[Fault]:
    """A bare machine that breaks the rules by itself."""
    orders = Orders(case.catalogue)
    why = _bare_breach(orders)
    if why and "share the slot" not in why:  # two standards in a slot are a fault of their own
        wanted = [option.option for option in case.catalogue.options if option.must]
        if any(f"'{name}'" in why for name in wanted):
            allowed = "What it requires must be standard or wanted too; nothing may exclude it."
            yield Fault(f"{FILE}, must", f"what is wanted cannot be ordered: {why}", allowed)
            return
        what = f"the standard machine breaks its own rules: {why}"
        yield Fault(f"{FILE}, standard", what, REVIEW)


def _bare_breach(orders: Orders) -> str | None:
    return orders.breach([option.option for option in orders.catalogue.always])


def option_faults(case: Case) -> Iterator[Fault]:
    """Options that no package which is allowed holds."""
    orders = Orders(case.catalogue)
    try:
        conflict = orders.conflict([])
        if conflict is not None:
            what = f"no machine at all can be ordered: {conflict.why}"
            yield Fault(f"{FILE}, standard", what, REVIEW)
            return
        for name in case.catalogue.by_id:
            conflict = orders.conflict([name])
            if conflict is not None:
                what = f"it can never be ordered: {conflict.why}"
                yield Fault(place(name, "requires"), what, REVIEW)
    except TooTangledError:
        allowed = "Take some `excludes` out, or join options that go together."
        yield Fault(f"{FILE}, requires and excludes", TANGLED, allowed)


def together(orders: Orders, names: Collection[str]) -> str | None:
    """Why options that can each be ordered cannot be ordered together; none when they can.

    Parameters
    ----------
    names
        Ids; when one of them is unknown or can never be ordered by itself there is nothing to say,
        for that is a fault of its own.
    """
    if not set(names) <= orders.catalogue.by_id.keys():
        return None
    try:
        if orders.conflict([]) or any(orders.conflict([name]) for name in names):
            return None
        conflict = orders.conflict(names)
    except TooTangledError:
        return TANGLED
    return conflict.why if conflict else None


def bundle_faults(case: Case) -> Iterator[Fault]:
    """Bundles that share an id, name no option, or can never be ordered."""
    yield from duplicates(MACHINE, "bundle", [bundle.id for bundle in case.bundles])
    orders = Orders(case.catalogue)
    for bundle in case.bundles:
        where = f"{MACHINE}, bundle '{bundle.id}', options"
        yield from unknown(bundle.options, case.catalogue, where)
        why = together(orders, bundle.options)
        if why:
            yield Fault(where, f"it can never be ordered: {why}", REVIEW)


def duplicates(file: str, kind: str, ids: list[str]) -> Iterator[Fault]:
    """A fault for each id that an earlier entry of the same kind has.

    Parameters
    ----------
    kind
        What they are: ``bundle``, ``stream`` ...
    ids
        In the order of the file.
    """
    for position, name in enumerate(ids):
        if name in ids[:position]:
            where = f"{file}, {kind} '{name}', id"
            what = f"number {ids.index(name) + 1} and number {position + 1} share it"
            yield Fault(where, what, f"Each {kind} has an id of its own.")


def package_faults(case: Case) -> Iterator[Fault]:
    """Candidate packages that share an id, name no option, or break a rule."""
    yield from duplicates(MACHINE, "package", [package.id for package in case.packages])
    for package in case.packages:
        if package.id in OURS:
            what = f"'{package.id}' stands for {OURS[package.id]}"
            allowed = "Give your package another id."
            yield Fault(f"{MACHINE}, package '{package.id}', id", what, allowed)
    orders = Orders(case.catalogue)
    bare = _bare_breach(orders)
    for package in case.packages:
        where = f"{MACHINE}, package '{package.id}'"
        wrong = [
            *unknown(package.options, case.catalogue, f"{where}, options"),
            *unknown(package.without, case.catalogue, f"{where}, without"),
            *_left_off_faults(orders, package, f"{where}, without"),
        ]
        yield from wrong
        why = None if wrong else orders.breach(everything_fitted(orders, package))
        if why and why != bare:
            yield Fault(f"{where}, options", f"it breaks a rule: {why}", _missing(why))


def _missing(why: str) -> str:
    return "Add what is required to `options`." if " requires " in why else REVIEW


def _left_off_faults(orders: Orders, package: Package, where: str) -> Iterator[Fault]:
    for name in package.without:
        option = orders.catalogue.by_id.get(name)
        if option is None:
            continue
        if name in package.options:
            yield Fault(where, f"'{name}' is in `options` too", "Keep one of the two.")
        elif not option.standard:
            allowed = "Only standard items are left off; others just stay out of `options`."
            yield Fault(where, f"'{name}' is not standard", allowed)
        elif option.delete_credit is None and not _gives_way(orders, name, package):
            allowed = "Give it a delete_credit (0 will do) or take it out of `without`."
            yield Fault(where, f"'{name}' has no delete_credit: it cannot be left off", allowed)


def _gives_way(orders: Orders, standard: str, package: Package) -> bool:
    slot = orders.slot
    return any(slot[name] == slot[standard] for name in package.options if name in slot)


def everything_fitted(orders: Orders, package: Package) -> tuple[str, ...]:
    """Everything on the machine that a candidate package orders.

    Standards, and what is wanted whatever it costs, stay unless they are replaced.

    Parameters
    ----------
    package
        A package whose names are known.
    """
    slot = orders.slot
    taken = {slot[name] for name in package.options}
    stay = [
        option.option
        for option in orders.catalogue.always
        if slot[option.option] not in taken and option.option not in package.without
    ]
    return (*package.options, *stay)


def notes(case: Case) -> Iterator[Fault]:
    """Bundles that save more than they cost."""
    for bundle in case.bundles:
        if bundle.discount > _price(case, bundle):
            what = f"{bundle.discount:.2f} is more than the options cost together"
            yield Fault(f"{MACHINE}, bundle '{bundle.id}', discount", what, "Check the figure.")


def _price(case: Case, bundle: Bundle) -> float:
    members = [case.catalogue.by_id[name] for name in bundle.options]
    return sum(option.price for option in members if not option.standard)
