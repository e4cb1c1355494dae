"""The page that says what was made of a dealer's list, and what is still to be asked."""

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.kinds.kind import NOT_PLACED
from optioneer.model.kinds.usual import usual_kinds
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Heading, Page, Paragraph, Part, Table, bullets_of
from optioneer.study.start.list_lines import Listing, ListLine


def start_page(case: Case, listing: Listing, figures: Figures, *, done: str) -> Page:
    """What was made of a list.

    Parameters
    ----------
    done
        What was written, in a sentence.
    """
    return (
        Heading(f"{case.machine.name}: a case from {listing.file}", "; ".join(listing.notes)),
        Paragraph(done, strong=True),
        Paragraph(_machine(case, listing, figures)),
        *_options(case, figures),
        *bullets_of("To be asked", _open_questions(case, listing)),
        *bullets_of(
            "Left out", [_line_sentence(one) for one in listing.of("left out") if one.written]
        ),
        *_work(case, figures),
        Paragraph(USUAL),
    )


USUAL = (
    "Prices are the dealer's. Every other figure is usual in the trade, common practice without a "
    "source, wide on purpose, until somebody says better: sources.csv tells which is from where."
)


def _machine(case: Case, listing: Listing, figures: Figures) -> str:
    charges = [line.text for line in listing.of("charge")]
    with_it = f", with {', '.join(charges)}" if charges else ""
    kind = usual_kinds().machines[case.machine.kind].name
    return f"The machine: {kind}, {figures.quoted(case.machine.base_price)}{with_it}."


def _options(case: Case, figures: Figures) -> tuple[Part, ...]:
    rows = [_row(option, figures) for option in case.catalogue.options]
    heads = ("option", "kind", "price", "later")
    return (Table("Options", heads, tuple(rows), text_last=True),)


def _row(option: Option, figures: Figures) -> tuple[str, ...]:
    kind = usual_kinds().by_id[option.kind or NOT_PLACED]
    price = "standard" if option.standard else figures.quoted(option.price)
    later = "only with the order"
    if option.multiplier is not None:
        low, high = option.multiplier.low, option.multiplier.high
        later = f"{figures.number(low, 1)} to {figures.number(high, 1)} times"
    return option.name, kind.name, price, later


def _open_questions(case: Case, listing: Listing) -> list[str]:
    unplaced = [one for one in case.catalogue.options if one.kind == NOT_PLACED]
    found = [f"{one.name}: what is it? Give its kind in options.csv." for one in unplaced]
    doubts = [one for one in listing.of("left out") if one.why.startswith("to be asked")]
    return [*found, *(f"Row {one.row}, {one.text}: {one.why[13:]}" for one in doubts)]


def _line_sentence(line: ListLine) -> str:
    return f"Row {line.row}, {line.text}, {line.written}: {line.why}"


def _work(case: Case, figures: Figures) -> tuple[Part, ...]:
    streams = case.growth.stream
    if not streams:
        return (Paragraph("No work is known that any of these options would be for."),)
    rows = tuple(
        (
            stream.name,
            figures.share(stream.mean_chance),
            f"{figures.about(stream.margin.low)} to {figures.about(stream.margin.high)}",
        )
        for stream in streams
    )
    heads = ("work", "chance", "a year")
    return (Table("Work that these options are for", heads, rows),)
