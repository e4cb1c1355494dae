"""The pages for the bookkeeper and to first chips: the same answers as on the command line."""

import csv
import io
from datetime import date
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest
from typer.testing import CliRunner

from optioneer.app.engine.drafts import Store
from optioneer.app.money.curve import way_names
from optioneer.app.money.ledger_view import ledger_file as ledger_table_of
from optioneer.app.session.state import Session
from optioneer.cli import app as cli
from optioneer.files.case.demos import demo_folders
from optioneer.files.case.read import reading_of
from optioneer.model.case import Case
from optioneer.reports.page.money import Figures
from optioneer.study.advice.package_choice import named_package
from optioneer.study.cash.cash import CashStudy, cash
from optioneer.study.cash.conditions import Conditions, case_under
from optioneer.study.cash.cures import cures
from optioneer.study.cash.dates import Delay
from optioneer.study.cash.works import site_works
from optioneer.study.ready.first_chips import with_first_chips
from optioneer.study.ready.ready import readiness
from tests.app.visits import current, draft_of, settled, small_mill, texts_of, visit
from tests.app.walks import LOADED
from tests.cases_as_texts import few
from tests.patience import PATIENCE

FIGURES = Figures("EUR", "en_US")
POOR = {"opening = 41000.00": "opening = 21000.00"}
"""So little in the account that every way of paying falls too low."""


def bookkeeper_page() -> None:
    from optioneer.app.views import bookkeeper  # noqa: PLC0415 - the source of this is the script

    bookkeeper.page()


def first_chips_page() -> None:
    from optioneer.app.views import first_chips  # noqa: PLC0415 - as above

    first_chips.page()


def case_of(texts: dict[str, str]) -> Case:
    return with_first_chips(reading_of("small-mill", texts).case)


def study_of(texts: dict[str, str], package: str = "bare") -> CashStudy:
    case = case_of(texts)
    ordered = named_package(case, package)
    return cash(case, ordered)


def poor() -> dict[str, str]:
    texts = small_mill()
    for old, new in POOR.items():
        assert old in texts["paying.toml"]
        texts["paying.toml"] = texts["paying.toml"].replace(old, new)
    return texts


def opened(page: Any, texts: dict[str, str], package: str = "bare") -> AppTest:
    """The page on a package by name, so that nothing has to be valued."""
    draft = draft_of(texts)
    test = AppTest.from_function(page, default_timeout=PATIENCE)
    test.session_state["optioneer"] = Session(draft=draft)
    test.session_state[f"package-{draft.id}"] = package
    test.run()
    assert not test.exception
    return test


def told(test: AppTest) -> str:
    assert not test.exception
    metrics = [f"{metric.label}: {metric.value}" for metric in test.metric]
    return "\n".join([texts_of(test).replace("\\", ""), *metrics])


def box(boxes: Any, label: str) -> Any:
    return next(each for each in boxes if each.label.startswith(label))


def cents(amount: int) -> str:
    return FIGURES.quoted(amount / 100)


def test_the_bookkeeper_sees_the_figures_of_every_way_of_paying() -> None:
    text = told(opened(bookkeeper_page, small_mill()))
    study = study_of(small_mill())
    for plan in study.answer.plans:
        assert cents(plan.lowest.cents) in text
        assert cents(plan.true_cost.total_paid_cents) in text
        assert FIGURES.amount(plan.true_cost.present_cost) in text
    names = way_names(case_of(small_mill()))
    assert f"'{names[str(study.answer.cheapest)]}' is the cheapest way of paying" in text


def test_another_way_of_paying_changes_the_lowest_balance_and_is_remembered() -> None:
    test = opened(bookkeeper_page, small_mill())
    lows = {plan.id: cents(plan.lowest.cents) for plan in study_of(small_mill()).answer.plans}
    assert lows["staged"] != lows["bank"]
    for plan in ("bank", "staged"):  # the page starts with the cheapest
        box(test.selectbox, "Way of paying").set_value(plan).run()
        assert f"falls to {lows[plan]}" in told(test)
        name = current(test).id
        assert Store().desk(name)[f"plan-{name}"] == plan


@pytest.mark.parametrize("plan", ["staged", "all"])
def test_the_ledger_that_is_downloaded_is_that_of_the_command_line(plan: str) -> None:
    study = study_of(small_mill())
    kept = [one for one in study.ledgers if plan in {one.answer.id, "all"}]
    folder = next(folder for folder in demo_folders() if folder.name == "small-mill")
    command = ["cash", str(folder), "--package", "bare", "--plan", plan, "--csv", "-"]
    assert ledger_table_of(study, kept).decode() == CliRunner().invoke(cli, command).stdout


def test_the_ledger_that_is_downloaded_adds_up_to_the_contract() -> None:
    test = opened(bookkeeper_page, small_mill())
    cheapest = study_of(small_mill()).answer.cheapest
    name = way_names(case_of(small_mill()))[str(cheapest)]
    buttons = [button.proto.label for button in test.get("download_button")]
    assert buttons == [
        f"Download the whole ledger of '{name}' (CSV)",
        "Download the ledgers of all ways (CSV)",
    ]
    study = study_of(small_mill())
    kept = [one for one in study.ledgers if one.answer.id == cheapest]
    rows = csv.DictReader(io.StringIO(ledger_table_of(study, kept).decode()))
    paid = [row["amount"].replace(".", "") for row in rows if row["kind"] == "contract"]
    assert -sum(map(int, paid)) == kept[0].answer.contract_cents
    assert "it adds up, to the cent" in told(test)


def test_the_ledger_is_searched_by_kind_words_and_days() -> None:
    test = opened(bookkeeper_page, small_mill())
    box(test.selectbox, "Way of paying").set_value("staged").run()
    plan = next(one for one in study_of(small_mill()).answer.plans if one.id == "staged")
    box(test.multiselect, "Kinds").set_value(["contract", "site"]).run()
    wanted = [entry for entry in plan.entries if entry.kind in {"contract", "site"}]
    assert f"sum of {len(wanted)}" in told(test)
    box(test.text_input, "What or who").set_value("DEALER").run()
    dealer = [entry for entry in wanted if "dealer" in f"{entry.what} {entry.payee}".lower()]
    assert f"sum of {len(dealer)}" in told(test)
    assert cents(sum(entry.cents for entry in dealer)) in told(test)
    first = plan.entries[0].date
    test.date_input[0].set_value((first, date(2027, 5, 31))).run()
    early = [entry for entry in dealer if entry.date <= date(2027, 5, 31)]
    assert f"sum of {len(early)}" in told(test)


def test_what_would_cure_a_low_balance_is_told_only_where_it_is_low() -> None:
    fine = opened(bookkeeper_page, small_mill())
    box(fine.selectbox, "Way of paying").set_value("bank").run()
    assert "What would cure it" not in told(fine)
    test = opened(bookkeeper_page, poor())
    box(test.selectbox, "Way of paying").set_value("staged").run()
    case, study = case_of(poor()), study_of(poor())
    ordered = named_package(case, "bare")
    found = cures(case, ordered, study, site_works(case, ordered), plan="staged")
    text = told(test)
    assert "What would cure it" in text
    for cure in found:
        assert cents(cure.lowest_cents) in text


def test_a_late_machine_moves_every_figure_as_on_the_command_line_and_can_be_taken_back() -> None:
    test = opened(bookkeeper_page, small_mill())
    box(test.slider, "Machine later").set_value(8.0).run()
    case = case_of(small_mill())
    ordered = named_package(case, "bare")
    late = cash(case, ordered, delay=Delay(machine_weeks=8))
    text = told(test)
    for plan in late.answer.plans:
        assert cents(plan.lowest.cents) in text
        assert plan.lowest.date.isoformat() in text
    assert "As planned: lowest balance" in text
    test.button(key="delay-reset").click().run()
    assert "As planned: lowest balance" not in told(test)
    assert box(test.slider, "Machine later").value == 0


def test_terms_of_the_loan_move_its_figures_and_are_kept_in_the_case_when_asked() -> None:
    test = opened(bookkeeper_page, small_mill())
    box(test.selectbox, "Way of paying").set_value("bank").run()
    box(test.slider, "Deposit").set_value(35.0)
    box(test.slider, "In the account").set_value(50_000.0)
    box(test.slider, "Term").set_value(72.0).run()
    tried = Conditions(opening=50_000.0, deposit=0.35, months=72)
    case = case_of(small_mill())
    under, ordered = case_under(case, "bank", tried), named_package(case, "bare")
    plan = next(one for one in cash(under, ordered).answer.plans if one.id == "bank")
    assert cents(plan.true_cost.total_paid_cents) in told(test)
    test.button(key="keep-terms").click().run()
    assert not test.exception
    changed = case_of(dict(current(test).texts))
    assert changed.paying == under.paying
    assert box(test.slider, "Deposit").value == 35.0
    assert test.button(key="keep-terms").disabled


@pytest.mark.parametrize(
    ("view", "file", "lacks"),
    [
        (bookkeeper_page, "paying.toml", "how the machine is paid for"),
        (first_chips_page, "site.toml", "the place where the machine goes"),
    ],
)
def test_a_case_that_lacks_a_part_says_what_to_fill_in_and_leads_there(
    view: Any, file: str, lacks: str
) -> None:
    texts = {name: text for name, text in small_mill().items() if name != file}
    test = opened(view, texts)
    said = " ".join(str(each.value) for each in test.info)
    assert lacks in said
    assert file not in said
    links = test.get("page_link")
    assert [link.proto.page for link in links] == ["case"]


def test_the_advised_package_is_looked_at_unless_another_is_asked_for() -> None:
    test = visit(bookkeeper_page, draft_of(few(small_mill(), *LOADED)))
    text = told(settled(test))
    assert "the full answer follows" not in text
    assert "Ordered: " in text
    assert "Retrofits that may come" in text


def test_the_site_page_says_what_the_command_line_says() -> None:
    text = told(opened(first_chips_page, small_mill()))
    case = case_of(small_mill())
    answer = readiness(case, named_package(case, "bare"))
    assert answer.first_chips is not None
    assert answer.ready_on_delivery_chance is not None
    for day in (answer.first_chips.p50, answer.first_chips.p80, answer.first_chips.p95):
        assert day.isoformat() in text
    assert f"Ready on delivery: {FIGURES.share(answer.ready_on_delivery_chance)}" in text
    for need in answer.needs:
        assert need.name.replace("garage-door", "garage door") in text
    for purchase in answer.purchases:
        said = purchase.what.replace("service-engineer:", "service engineer:")
        assert said.replace("'", "&#x27;") in text
    for caution in (*answer.standing, *answer.cautions):
        assert caution in text


def test_a_late_task_moves_first_chips_as_on_the_command_line() -> None:
    test = opened(first_chips_page, small_mill())
    assert "First chips, what if" not in told(test)
    box(test.multiselect, "Tasks").set_value(["build"]).run()
    box(test.slider, "machine built").set_value(45).run()
    case = case_of(small_mill())
    late = readiness(case, named_package(case, "bare"), shifts={"build": 45})
    text = told(test)
    assert "First chips, what if" in text
    assert late.first_chips is not None
    assert late.first_chips.p95.isoformat() in text
    assert late.delivery.isoformat() in text


def test_no_money_and_no_plan_of_a_case_with_faults() -> None:
    texts = {**small_mill(), "growth.toml": "horizon_years = -1\n"}
    for page in (bookkeeper_page, first_chips_page):
        test = opened(page, texts)
        assert "Work, horizon years" in " ".join(str(each.value) for each in test.error)
