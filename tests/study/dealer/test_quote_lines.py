"""What a dealer's list changes."""

from optioneer.study.dealer.quote_lines import PlacedLine, Quoted


def line(option: str, before: float, after: float | None) -> PlacedLine:
    return PlacedLine(row=1, text=option, option=option, how="id", before=before, after=after)


def test_only_prices_that_differ_are_changes() -> None:
    placed = (line("probe", 100.0, 90.0), line("door", 50.0, 50.0), line("lamp", 5.0, None))
    quoted = Quoted(
        file="list.csv",
        currency="USD",
        notes=(),
        name_column="name",
        price_column="price",
        code_column="",
        decimal=".",
        placed=placed,
        guessed=(),
        unplaced=(),
        left_out=(),
        not_quoted=(),
        questions=(),
    )
    assert quoted.changes == {"probe": 90.0}
