"""Checks on the catalogue: references, slots, multipliers, circles."""

from collections.abc import Iterator

from optioneer.errors import Fault, did_you_mean
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.checks.circles import circles

FILE = "options.csv"


def place(option: str, key: str) -> str:
    """Where a fact of an option stands."""
    return f"{FILE}, option '{option}', {key}"


def duplicate_faults(case: Case) -> Iterator[Fault]:
    """Ids that two options share, options without a name."""
    seen: set[str] = set()
    for option in case.catalogue.options:
        if not option.name:
            yield Fault(place(option.option, "name"), "is blank", "Write what the quote calls it.")
        if option.option in seen:
            what = f"the id '{option.option}' is used twice"
            yield Fault(place(option.option, "option"), what, "Each option has an id of its own.")
        seen.add(option.option)


def reference_faults(case: Case) -> Iterator[Fault]:
    """Options that refer to none, to themselves, or to the same one twice."""
    for option in case.catalogue.options:
        for key in ("requires", "excludes"):
            names = getattr(option, key)
            yield from _names_faults(case.catalogue, option, key, names)
        if option.eased_by is not None:
            yield from _names_faults(case.catalogue, option, "eased_by", (option.eased_by,))


def _names_faults(
    catalogue: Catalogue, option: Option, key: str, names: tuple[str, ...]
) -> Iterator[Fault]:
    where = place(option.option, key)
    yield from unknown(names, catalogue, where)
    if option.option in names:
        yield Fault(where, "the option names itself", "Name other options only.")


def unknown(names: tuple[str, ...], catalogue: Catalogue, where: str) -> Iterator[Fault]:
    """A fault for each name that is no option, and for each that stands twice.

    Parameters
    ----------
    names
        Ids of options.
    """
    for position, name in enumerate(names):
        if name in names[:position]:
            yield Fault(where, f"'{name}' is named twice", "Name it once.")
        elif name not in catalogue.by_id:
            yield Fault(where, f"there is no option '{name}'", did_you_mean(name, catalogue.by_id))


def visit_faults(case: Case) -> Iterator[Fault]:
    """Call-outs that machine.toml does not name."""
    for option in case.catalogue.options:
        name = option.call_out
        if name is None or name in case.call_outs or (name, option.retrofittable) == _UNUSED:
            continue
        what = f"machine.toml has no call-out '{name}'"
        allowed = did_you_mean(name, [*case.call_outs, "none"])
        yield Fault(place(option.option, "call_out"), what, allowed)


_UNUSED = ("default", False)
"""A factory-only option that says nothing of call-outs."""


def slot_faults(case: Case) -> Iterator[Fault]:
    """Slots with two standards, slots that share a name by accident, credits for no standard."""
    for slot in case.catalogue.slots:
        standards = [option.option for option in slot.options if option.standard]
        if len(standards) > 1:
            what = f"'{standards[0]}' is standard in the slot '{slot.name}' too"
            yield Fault(place(standards[1], "standard"), what, "A slot has one standard at most.")
        wanted = [option.option for option in slot.options if option.must]
        if len(wanted) > 1:
            what = f"'{wanted[0]}' is wanted in the slot '{slot.name}' too"
            yield Fault(place(wanted[1], "must"), what, "A slot holds one option at a time.")
        loners = [option for option in slot.options if option.slot is None]
        rivals = [option for option in slot.options if option.slot is not None]
        if loners and rivals:
            what = f"the slot is named like the option '{loners[0].option}', which has its own slot"
            allowed = "Give the slot another name, or name the slot of both."
            yield Fault(place(rivals[0].option, "slot"), what, allowed)
    for option in case.catalogue.options:
        if option.delete_credit is not None and not option.standard:
            what = "a credit is given for an option that is not standard"
            allowed = "Write standard = yes, or leave the credit blank."
            yield Fault(place(option.option, "delete_credit"), what, allowed)


def multiplier_faults(case: Case) -> Iterator[Fault]:
    """Retrofits without a multiplier, easing that is only half told."""
    for option in case.catalogue.options:
        name = option.option
        if option.retrofittable and option.multiplier is None:
            allowed = "Give multiplier_low, _likely, _high, or write factory-only."
            yield Fault(place(name, "multiplier"), "a retrofittable option has none", allowed)
        if option.eased_by is not None and option.eased is None:
            allowed = "Give eased_low, _likely, _high, or leave eased_by blank."
            yield Fault(
                place(name, "eased"), f"is blank beside eased_by '{option.eased_by}'", allowed
            )
        if option.eased is not None and option.eased_by is None:
            allowed = "Name the option that eases the retrofit, or leave eased_low to _high blank."
            yield Fault(place(name, "eased_by"), "is blank beside eased_low", allowed)


def circle_faults(case: Case) -> Iterator[Fault]:
    """Requirements that come back to where they began; easing that does, across slots."""
    known = case.catalogue.by_id
    requires = {
        o.option: [n for n in o.requires if n != o.option and n in known] for o in known.values()
    }
    for circle in circles(requires):
        chain = " requires ".join(f"'{name}'" for name in (*circle, circle[0]))
        allowed = "Order them as one option, or drop one of the requirements."
        yield Fault(place(circle[0], "requires"), chain, allowed)
    for circle in circles(_easing(case.catalogue)):
        chain = " is eased from ".join(f"slot '{name}'" for name in (*circle, circle[0]))
        eased = next(o for o in case.catalogue.options if _slot(o) == circle[0] and o.eased_by)
        allowed = "Which is fitted first would be open; drop one easing, or use one slot."
        yield Fault(place(eased.option, "eased_by"), chain, allowed)


def _easing(catalogue: Catalogue) -> dict[str, set[str]]:
    """Slots by the slots whose retrofits they ease."""
    leads: dict[str, set[str]] = {slot.name: set() for slot in catalogue.slots}
    for option in catalogue.options:
        helper = catalogue.by_id.get(option.eased_by or "")
        if helper is not None and _slot(helper) != _slot(option):
            leads[_slot(option)].add(_slot(helper))
    return leads


def _slot(option: Option) -> str:
    return option.slot or option.option


def notes(case: Case) -> Iterator[Fault]:
    """Figures of options that do nothing."""
    for option in case.catalogue.options:
        if option.retrofittable:
            continue
        for key in ("later_price", "multiplier", "eased"):
            if getattr(option, key) is not None:
                allowed = "Write retrofittable if it can be fitted later."
                what = "does nothing: the option is factory-only"
                yield Fault(place(option.option, key), what, allowed)
