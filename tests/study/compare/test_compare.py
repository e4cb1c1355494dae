"""Packages and quotes side by side, on cases small enough to see through."""

from collections.abc import Sequence

import numpy as np
import pytest

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.model.growth import Way
from optioneer.model.machine import Package
from optioneer.model.paying import IncomeTax, Paying
from optioneer.study.advice.advice import advice, package_value
from optioneer.study.advice.request import AdviceRequest, PackageRequest
from optioneer.study.compare.answers import Compared, Comparison
from optioneer.study.compare.compare import ComparisonRequest, comparison
from optioneer.study.compare.currencies import Exchange, asked_exchange
from tests.oracle import cases
from tests.oracle.cases import case_of, certain, option, stream


def first(currency: str = "USD") -> Case:
    """Two kinds of work, each one time in two, and an option for each."""
    works = [stream(f"work-{n}", certain(0.0), 20e3, [n], chance=0.5, fallback=0.1) for n in "ab"]
    growth = {"horizon_years": 1.0, "discount_rate": 0.0, "futures": 1024}
    made = case_of([option("a", 4e3), option("b", 8e3)], works, growth=growth, currency=currency)
    return made.model_copy(
        update={"name": "first", "packages": (Package(id="b-only", options=("b",)),)}
    )


def other(currency: str = "USD", ways: Sequence[str] = ("work-a",)) -> Case:
    """Another dealer's machine: one option, `x`, that does the work among `ways`."""
    works = [stream(n, certain(0.5), 1e3, ["x"], chance=0.9) for n in ways]
    made = case_of([option("x", 2e3)], works, base_price=100e3, currency=currency)
    return made.model_copy(update={"name": "other"})


def by_name(told: Comparison) -> dict[tuple[str, str], Compared]:
    return {(package.case, package.id): package for package in told.packages}


def test_packages_of_one_quote_cost_what_their_own_valuation_says() -> None:
    told = by_name(comparison(ComparisonRequest((first(),), packages=("b-only", "a", "base"))))
    assert {name for _, name in told} == {"advised", "b-only", "a", "base"}
    for name, options in (("b-only", ["b"]), ("a", ["a"]), ("base", [])):
        own = package_value(PackageRequest(first(), package=",".join(options)))
        found = told["first", name]
        assert (found.npc, found.outcome, found.price) == (own.npc, own.outcome, own.price)


def test_figures_by_hand() -> None:
    told = by_name(comparison(ComparisonRequest((first(),))))
    best, b_only, base = (told["first", name] for name in ("advised", "b-only", "base"))
    # 12,000 for both saves 18,000 on each of two works that come half the time.
    assert best.options == ("a", "b")
    assert (best.price, base.price) == (112e3, 100e3)
    assert b_only.over_best == pytest.approx(-4e3 + 0.5 * 18e3)
    assert base.over_best == pytest.approx(-12e3 + 18e3)
    # The bare machine is best when neither comes, a quarter of the time; then `b` regrets 8,000.
    assert base.chance_best == pytest.approx(0.25, abs=0.02)
    assert b_only.mean_regret - best.mean_regret == pytest.approx(b_only.over_best)
    served = {each.stream: (each.earned, each.reachable, each.way) for each in b_only.serves}
    assert served == {
        "work-a": (pytest.approx(0.1), pytest.approx(0.1), True),
        "work-b": (1.0, 1.0, True),
    }


def test_the_best_comes_first_and_regret_is_against_the_others_here() -> None:
    told = comparison(ComparisonRequest((first(),)))
    assert [package.label for package in told.packages] == ["A", "B", "C"]
    npcs = [package.npc for package in told.packages]
    assert npcs == sorted(npcs)
    assert sum(package.chance_best for package in told.packages) == pytest.approx(1.0)
    assert all(sum(package.counts) == told.futures for package in told.packages)
    assert all(len(package.quantiles) == len(told.levels) for package in told.packages)


def test_a_package_under_two_names_is_compared_once() -> None:
    told = by_name(comparison(ComparisonRequest((first(),), packages=("a,b", "base"))))
    assert told["first", "advised"].also == ("a, b",)
    assert len(told) == 2


def test_another_machine_does_the_first_ones_work_in_its_own_way() -> None:
    told = by_name(comparison(ComparisonRequest((first(), other()))))
    found = told["other", "advised"]
    # The work counts as the first case tells it: 20,000 half the time, not 1,000.
    assert found.options == ("x",)
    assert found.npc == pytest.approx(102e3 + 0.5 * 18e3, rel=1e-3)
    assert [(each.stream, each.way) for each in found.serves] == [
        ("work-a", True),
        ("work-b", False),
    ]
    assert found.serves[1].earned == pytest.approx(0.1)


def test_streams_without_a_way_and_work_of_one_quote_only_are_named() -> None:
    quotes = comparison(ComparisonRequest((first(), other(ways=("work-b", "more"))))).quotes
    assert (quotes[0].without_way, quotes[0].untold, quotes[0].left_out) == ((), (), ())
    assert quotes[1].without_way == quotes[1].untold == ("work-a",)
    assert quotes[1].left_out == ("more",)


def test_a_machine_that_does_the_work_as_it_comes_earns_it_bare() -> None:
    bare = other()
    work = bare.growth.stream[0].model_copy(update={"way": (Way(options=(), share=0.9),)})
    growth = bare.growth.model_copy(update={"stream": (work,)})
    told = comparison(ComparisonRequest((first(), bare.model_copy(update={"growth": growth}))))
    assert by_name(told)["other", "advised"].also == ("base",)
    served = by_name(told)["other", "advised"].serves[0]
    assert (served.earned, served.reachable, served.way) == (0.9, 0.9, True)
    assert told.quotes[1].without_way == ("work-b",)


@pytest.mark.parametrize("growth", ["first", "second"])
def test_all_quotes_count_the_income_tax_of_the_growth_whatever_is_told_beside_them(
    growth: str,
) -> None:
    tax = IncomeTax(rate=0.3, depreciation="straight-line-5")
    plain, taxed = (
        first().model_copy(update={"name": name, "paying": paying})
        for name, paying in (("first", None), ("second", Paying(income_tax=tax)))
    )
    told = comparison(ComparisonRequest((plain, taxed), growth=growth))
    costs = {round(package.npc, 6) for package in told.packages if package.id == "advised"}
    own = plain if growth == "first" else taxed
    assert costs == {round(advice(AdviceRequest(own)).advised.npc, 6)}


def test_the_growth_of_another_case_can_be_asked_for() -> None:
    told = comparison(ComparisonRequest((first(), other()), growth="other"))
    assert (told.growth, told.streams) == ("other", ("work-a",))
    assert told.quotes[0].left_out == ("work-b",)


def test_the_same_quote_in_another_currency_costs_the_same() -> None:
    twin = first(currency="EUR").model_copy(update={"name": "twin"})
    halved = Catalogue(
        options=tuple(o.model_copy(update={"price": o.price / 2}) for o in twin.catalogue.options)
    )
    machine = twin.machine.model_copy(update={"base_price": 50e3, "margin_per_day": 500.0})
    euros = twin.model_copy(update={"catalogue": halved, "machine": machine})
    exchange = asked_exchange(["EUR=2"], day="2026-11-20")
    told = by_name(comparison(ComparisonRequest((first(), euros), exchange=exchange)))
    for name in ("advised", "b-only", "base"):
        mine, theirs = told["first", name], told["twin", name]
        assert (mine.npc, mine.price) == (theirs.npc, theirs.price)
        assert theirs.quoted_price == mine.quoted_price / 2
        assert mine.chance_best == theirs.chance_best  # ties are split


def test_all_of_it_in_another_currency_is_scaled_and_nothing_else() -> None:
    plain = comparison(ComparisonRequest((first(), other())))
    exchange = asked_exchange(["USD=2"], day="2026-11-20", currency="EUR")
    told = comparison(ComparisonRequest((first(), other()), exchange=exchange))
    assert (told.currency, plain.currency) == ("EUR", "USD")
    for here, there in zip(plain.packages, told.packages, strict=True):
        assert there.npc == pytest.approx(2 * here.npc)
        assert there.mean_regret == pytest.approx(2 * here.mean_regret)
        assert (there.quoted_price, there.chance_best) == (here.quoted_price, here.chance_best)


def test_the_answer_does_not_depend_on_the_order_of_quotes_with_one_growth() -> None:
    one = comparison(ComparisonRequest((first(), other()), growth="first"))
    two = comparison(ComparisonRequest((other(), first()), growth="first"))
    assert one.packages == two.packages


def test_retrofits_that_raise_what_is_earned_are_told() -> None:
    served = by_name(comparison(ComparisonRequest((cases.prepared(),))))[
        "hand-made", "base"
    ].serves[0]
    assert served.reachable > served.earned


def test_waiting_longer_for_a_machine_is_told_in_days() -> None:
    late = other().model_copy(update={"dates": other().dates.model_copy(update={"lead": 0.1})})
    assert [
        quote.days_later for quote in comparison(ComparisonRequest((first(), late))).quotes
    ] == [0, 36]


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"packages": ("nobody:a",)}, "--package: no case here is named 'nobody'"),
        ({"packages": ("other:a",)}, "there is no option 'a'"),
        ({"growth": "nobody"}, "--growth: no case here is named 'nobody'"),
    ],
)
def test_names_that_nobody_knows_are_refused(asked: dict[str, object], said: str) -> None:
    with pytest.raises(RequestError, match=said):
        comparison(
            ComparisonRequest(
                (first(), other()),
                **asked,  # type: ignore[arg-type] # one of several keywords
            )
        )


def test_a_missing_rate_is_told_before_anything_is_valued() -> None:
    with pytest.raises(RequestError, match="There is no rate for EUR"):
        comparison(ComparisonRequest((first(), other("EUR")), exchange=Exchange()))


def test_two_cases_of_one_name_are_refused() -> None:
    with pytest.raises(RequestError, match="Two cases are named 'first'"):
        comparison(ComparisonRequest((first(), first())))


def test_progress_reaches_the_end_and_never_goes_back() -> None:
    seen: list[float] = []
    comparison(ComparisonRequest((first(), other())), progress=seen.append)
    assert seen[-1] == pytest.approx(1.0)
    assert np.all(np.diff(seen) >= 0.0)
