"""The pages, each alone, without a browser."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from optioneer.app.dealer.own_package import free_id
from optioneer.app.engine.drafts import Store
from optioneer.app.engine.words import literal
from optioneer.app.parts.fold import ROWS_STAY
from optioneer.app.session.advice_reply import FULL
from optioneer.app.views.case_page import edits_of
from optioneer.files.case.read import reading_of
from optioneer.files.grid.sheet_list import SHEETS
from optioneer.files.grid.sheets import KEY, rows
from optioneer.reports.advice.sensitivity import one_at_a_time_page
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Table
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.whatif.one_at_a_time import RangesRequest, one_at_a_time
from optioneer.study.whatif.whatif import WhatIfRequest, what_if
from optioneer.study.worth.changes import Asked
from optioneer.study.worth.figures import Figure
from tests.app.visits import current, draft_of, settled, small_mill, texts_of, visit
from tests.cases_as_texts import few
from tests.patience import PATIENCE

HOSTILE = "<script>alert(1)</script> **bold** $x$ :red[no] [a](javascript:alert(1))"


def whole_app() -> None:
    from optioneer.app.main import run  # noqa: PLC0415 - the source of this function is the script

    run([])


def answer_page() -> None:
    from optioneer.app.views import answer  # noqa: PLC0415 - as above

    answer.page()


def case_page() -> None:
    from optioneer.app.parts import case_bar  # noqa: PLC0415 - as above
    from optioneer.app.views import case_page  # noqa: PLC0415 - as above

    case_bar.draw()
    case_page.page()


def owner_page() -> None:
    from optioneer.app.views import owner  # noqa: PLC0415 - as above

    owner.page()


def buyer_page() -> None:
    from optioneer.app.views import buyer  # noqa: PLC0415 - as above

    buyer.page()


def test_a_newcomer_opens_a_demo_and_reads_what_to_order() -> None:
    test = AppTest.from_function(whole_app, default_timeout=PATIENCE).run()
    assert not test.exception
    test.button(key="demo-small-mill").click().run()
    told = texts_of(settled(test))
    assert "Order 3 options with the machine" in told.replace("\\", "")
    assert not test.exception


def test_the_first_page_says_what_the_command_line_says() -> None:
    texts = small_mill()
    test = visit(answer_page, draft_of(texts))
    answer = advice(AdviceRequest(reading_of("small-mill", texts).case, prove=True))
    told = texts_of(test).replace("\\", "")
    assert not test.exception
    assert f"{answer.advised.npc:,.0f}" in told
    assert f"{answer.advised.price:,.0f}" in told
    assert "Order now" in told


def test_text_of_a_case_is_shown_as_it_is() -> None:
    texts = few(small_mill())
    line = next(each for each in texts["machine.toml"].splitlines() if each.startswith("name = "))
    texts["machine.toml"] = texts["machine.toml"].replace(line, f"name = '{HOSTILE}'", 1)
    test = visit(answer_page, draft_of(texts))
    assert test.title[0].value == literal(HOSTILE)
    bodies = [str(each.proto.body) for each in test.get("html")]
    assert all("<script>" not in body for body in bodies if body != ROWS_STAY)


def test_literal_text_has_no_mark_left_that_means_anything() -> None:
    assert literal("a*b_c $d$ <e>\n\nf") == r"a\*b\_c \$d\$ \<e\> f"


def test_a_wrong_cell_is_named_in_the_words_of_check_and_undone() -> None:
    texts = small_mill()
    test = visit(case_page, draft_of(texts))
    assert not test.exception
    test.segmented_control(key="part").set_value("As text").run()
    area = test.text_area[0]
    area.set_value(str(area.value).replace("base_price = 82000", "base_price = -82000")).run()
    assert not test.exception
    said = " ".join(str(each.value) for each in test.error).replace("\\", "")
    assert "machine.toml, machine, base_price: -82000 is below zero" in said
    assert "unsaved changes" in texts_of(test)
    test.button(key="undo").click().run()
    assert current(test).texts == texts
    assert not test.error


def test_every_change_is_on_disk_at_once() -> None:
    test = visit(case_page, draft_of(small_mill()))
    test.segmented_control(key="part").set_value("As text").run()
    area = test.text_area[0]
    area.set_value(f"{area.value}# note\n").run()
    draft = current(test)
    kept = Store().get(draft.id)
    assert kept == draft
    assert kept is not None
    assert kept.texts["machine.toml"].endswith("# note\n")


@pytest.mark.parametrize("part", ["Machine", "Options", "Packages", "Work", "Paying", "Site"])
def test_every_part_of_the_case_can_be_looked_at(part: str) -> None:
    test = visit(case_page, draft_of(small_mill()))
    test.segmented_control(key="part").set_value(part).run()
    assert not test.exception
    assert len(test.data_editor) == 1


def test_what_a_grid_tells_becomes_edits() -> None:
    record = {
        "edited_rows": {"2": {"value": None}},
        "added_rows": [{"id": "a"}],
        "deleted_rows": [1],
    }
    edits = edits_of(SHEETS["drivers"], record, {})
    assert (dict(edits.changed), edits.added, edits.removed) == (
        {2: {"value": ""}},
        [{"id": "a"}],
        [1],
    )


def test_a_share_is_taken_as_people_write_it_and_other_cells_as_they_are() -> None:
    record = {"edited_rows": {"0": {"fallback": "25 %", "chance": "a third", "name": "25 %"}}}
    (changed,) = edits_of(SHEETS["streams"], record, {}).changed.values()
    assert changed == {"fallback": "0.25", "chance": "0.333333", "name": "25 %"}
    place = [row[KEY] for row in rows(SHEETS["growth"], small_mill())].index("discount_rate")
    record = {"edited_rows": {str(place): {"value": "8,5 percent"}}}
    assert edits_of(SHEETS["growth"], record, {}).changed == {place: {"value": "0.085"}}


def test_saving_tells_the_second_writer(tmp_path: Path) -> None:
    texts = small_mill()
    folder = tmp_path / "mill"
    folder.mkdir()
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    draft = draft_of(texts)
    test = visit(case_page, draft)
    test.text_input(key="save-path").set_value(str(folder)).run()
    test.button(key="save-there").click().run()
    assert "is not empty" in " ".join(str(each.value) for each in test.error)
    test.text_input(key="save-path").set_value(str(tmp_path / "new")).run()
    test.button(key="save-there").click().run()
    assert (tmp_path / "new" / "options.csv").read_text(encoding="utf-8") == texts["options.csv"]
    assert not current(test).unsaved


def test_a_nudge_turns_a_verdict_and_going_back_takes_it_back() -> None:
    test = visit(owner_page, draft_of(few(small_mill(), "night-lots", "pallet-loader")))
    assert not test.exception
    assert "No verdict turns" in texts_of(test)
    driver = test.slider[0]
    driver.set_value(2.0).run()
    told = texts_of(settled(test))
    assert "Verdicts that turn" in told
    assert "against the case" in told
    test.button(key="reset").click().run()
    assert "No verdict turns" in texts_of(settled(test)) or "just now" in texts_of(test)
    assert not test.exception


def test_what_keeping_to_the_advice_on_the_case_would_cost_is_what_whatif_says() -> None:
    texts = few(small_mill(), "night-lots", "pallet-loader")
    case = reading_of("small-mill", texts).case
    test = visit(owner_page, draft_of(texts))
    assert "stays the best" in texts_of(test)
    test.slider[0].set_value(2.0).run()
    told = texts_of(settled(test)).replace("\\", "")
    label = literal(test.slider[0].label).replace("\\", "")
    driver = next(d for d in case.growth.driver if d.name == label)
    asked = Asked(Figure("nudge", driver.id), 2.0)
    costs = what_if(WhatIfRequest(case, changes=(asked,))).keeping_costs
    assert f"would then cost €{costs:,.0f} more" in told


def test_every_figure_is_weighed_alone_when_asked_for() -> None:
    texts = few(small_mill())
    test = visit(owner_page, draft_of(texts))
    test.toggle(key="ranges").set_value(True).run()
    told = texts_of(settled(test)).replace("\\", "")
    answer = one_at_a_time(RangesRequest(reading_of("small-mill", texts).case))
    page = one_at_a_time_page(reading_of("small-mill", texts).case, answer, Figures("EUR"))
    (first,) = [part for part in page if isinstance(part, Table)][:1]
    assert first.rows[0][0] in told
    assert not test.exception


def test_figures_played_with_can_be_kept_in_the_case() -> None:
    test = visit(owner_page, draft_of(few(small_mill(), "night-lots", "pallet-loader")))
    test.slider[0].set_value(1.0).run()
    test.button(key="keep").click().run()
    found = rows(SHEETS["drivers"], current(test).texts)
    assert "1" in [row["nudge"] for row in found]
    assert not test.exception


def test_a_package_by_hand_tells_price_cost_and_what_it_breaks() -> None:
    test = visit(
        buyer_page, draft_of(few(small_mill(), "night-lots", "pallet-loader")), enough=FULL
    )
    assert not test.exception
    assert [metric.label for metric in test.metric] == [
        "Price",
        "Net present cost",
        "Beyond the advice",
        "Outcome on average",
    ]
    assert test.metric[2].value.endswith("0")
    before = test.metric[0].value
    draft = current(test)
    held = [*Store().desk(draft.id)[f"own-{draft.id}-held"], "pallet-loader"]
    Store().put_desk(draft.id, {f"own-{draft.id}-held": held})
    test = visit(buyer_page, draft, enough=FULL)
    assert test.metric[0].value != before
    assert any(
        "needs Automatic door and Loader interface" in str(each.value) for each in test.error
    )
    test.button(key="cure").click().run()
    settled(test)
    assert not test.error
    assert test.metric[2].value != "€0"


def test_a_package_is_copied_to_the_candidates_and_takes_part_at_once() -> None:
    test = visit(buyer_page, draft_of(few(small_mill())), enough=FULL)
    name = next(each for each in test.text_input if each.label.startswith("Name it"))
    name.set_value("My own").run()
    test.button(key="copy-package").click().run()
    settled(test)
    assert not test.exception
    assert rows(SHEETS["packages"], current(test).texts)[-1]["id"] == "my-own"
    assert "My own" in texts_of(test)


def test_an_id_that_is_taken_gets_a_number() -> None:
    assert free_id("a", []) == "a"
    assert free_id("a", ["a", "a-2"]) == "a-3"


def test_no_page_is_drawn_from_a_case_with_faults_but_each_says_what_to_mend() -> None:
    texts = {**small_mill(), "growth.toml": "horizon_years = -1\n"}
    for page in (answer_page, owner_page, buyer_page):
        test = visit(page, draft_of(texts))
        assert not test.exception
        assert "Work, horizon years" in " ".join(str(each.value) for each in test.error)
