"""Slow work beside the pages: one errand a session, the last wish wins, few at once."""

import gc
import threading
import time
import weakref
from collections.abc import Callable

import pytest

from optioneer.app.apart.memory import give_back
from optioneer.app.engine import work
from optioneer.app.engine.work import Bench, BusyError, Cores, Errand, StoppedError
from optioneer.study.problem.effort import Progress
from tests.patience import PATIENCE

LONG = PATIENCE
"""Longer than anything here takes [s]."""


class Counted:
    """Work that counts how many of it are alive at once."""

    def __init__(self) -> None:
        self.alive = 0
        self.most = 0
        self.begun: list[int] = []
        self.lock = threading.Lock()

    def stage(self, number: int) -> Callable[[Progress], int]:
        def run(told: Progress) -> int:
            with self.lock:
                self.alive += 1
                self.most = max(self.most, self.alive)
                self.begun.append(number)
            try:
                for step in range(20):
                    time.sleep(0.005)
                    told(step / 20)
            finally:
                with self.lock:
                    self.alive -= 1
            return number

        return run


@pytest.fixture(autouse=True)
def many_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(work, "CORES", Cores(8))


def test_ten_wishes_in_a_row_never_leave_two_computations_alive_and_the_last_one_answers() -> None:
    bench, counted = Bench(), Counted()
    for number in range(10):
        bench.turn()
        last = bench.ask(number, counted.stage(number))
    last.wait(LONG)
    assert last.answer == 9
    assert counted.most == 1
    assert len(counted.begun) < 10


def test_the_same_wish_again_is_the_same_errand() -> None:
    bench, counted = Bench(), Counted()
    first = bench.ask("a", counted.stage(1))
    assert bench.ask("a", counted.stage(2)) is first
    first.wait(LONG)
    assert bench.ask("a", counted.stage(3)) is first
    assert counted.begun == [1]


def test_a_quick_answer_is_there_before_the_better_one() -> None:
    slow, quick = threading.Event(), threading.Event()
    stages = (lambda _: quick.wait(LONG) and "preview", lambda _: slow.wait(LONG) and "full")
    errand = Bench().ask("a", *stages)
    threading.Timer(0.02, quick.set).start()  # somebody waits for it by then
    errand.wait(LONG)
    assert (errand.answer, errand.alive) == ("preview", True)
    slow.set()
    errand.wait(LONG, answers=2)
    assert errand.answer == "full"


def test_better_answers_wait_for_a_slider_only(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(work, "PAUSE", LONG)
    stages = (lambda _: "preview", lambda _: "full")
    calm, moving = Bench().ask("a", *stages, calm=True), Bench().ask("a", *stages)
    calm.wait(LONG, answers=2)
    assert calm.answer == "full"
    moving.wait(LONG)
    assert (moving.answer, moving.alive) == ("preview", True)
    moving.stop()
    moving.wait(LONG, answers=2)


def test_what_was_stopped_stays_stopped_until_asked_anew() -> None:
    bench, counted = Bench(), Counted()
    errand = bench.ask("a", counted.stage(1))
    errand.stop()
    while errand.alive:
        time.sleep(0.005)
    assert isinstance(errand.error, StoppedError)
    assert errand.answer is None
    time.sleep(0.05)
    assert bench.ask("a", counted.stage(2)) is errand
    bench.forget("a")
    again = bench.ask("a", counted.stage(3))
    again.wait(LONG)
    assert again.answer == 3


def test_a_fault_comes_out_of_the_answer() -> None:
    def broken(_: Progress) -> None:
        raise ZeroDivisionError

    errand = Bench().ask("a", broken)
    errand.wait(LONG)
    with pytest.raises(ZeroDivisionError):
        _ = errand.answer


def test_no_more_run_at_once_than_there_are_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(work, "CORES", Cores(2))
    counted = Counted()
    errands = [Bench().ask(number, counted.stage(number)) for number in range(6)]
    for errand in errands:
        errand.wait(LONG)
    assert [errand.answer for errand in errands] == list(range(6))
    assert counted.most == 2


def test_a_first_answer_waits_for_nobody_whose_better_answer_takes_long(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(work, "CORES", Cores(1))
    monkeypatch.setattr(work, "QUICK", Cores(1))
    slow = threading.Event()
    stages = (lambda _: "preview", lambda _: slow.wait(LONG) and "full")
    people = []
    for _ in range(work.MOST_WAITING + 3):
        people.append(Bench().ask("a", *stages, calm=True))
        people[-1].wait(LONG)
    assert [(each.answer, each.alive) for each in people] == [("preview", True)] * len(people)
    slow.set()
    for each in people:
        each.wait(LONG, answers=2)
    assert {each.answer for each in people} == {"full"}


def test_when_too_many_wait_the_next_is_told_that_the_server_is_busy() -> None:
    cores, held = Cores(1), threading.Event()
    cores.take(lambda: False)
    waiting = [
        threading.Thread(target=_wait_for, args=(cores, held)) for _ in range(work.MOST_WAITING)
    ]
    for thread in waiting:
        thread.start()
    try:
        while cores._waiting < work.MOST_WAITING:
            time.sleep(0.005)
        with pytest.raises(BusyError, match="busy"):
            cores.take(lambda: False)
    finally:
        held.set()
        for thread in waiting:
            thread.join()


def _wait_for(cores: Cores, held: threading.Event) -> None:
    with pytest.raises(StoppedError):
        cores.take(held.is_set)


def test_a_closed_session_leaves_nothing_running() -> None:
    bench, counted = Bench(), Counted()
    errand = bench.ask("a", counted.stage(1))
    bench.close()
    while errand.alive:
        time.sleep(0.005)
    assert counted.alive == 0


def test_an_errand_dropped_before_it_began_has_ended() -> None:
    errand = Errand("a", ())
    errand.drop()
    assert not errand.alive


def test_work_for_a_visitor_who_left_stops_and_is_begun_anew_when_they_return() -> None:
    there, counted = threading.Event(), Counted()
    bench = Bench(there.is_set)
    errand = bench.ask("a", counted.stage(1))
    while errand.alive:
        time.sleep(0.005)
    assert isinstance(errand.error, StoppedError)
    there.set()
    time.sleep(0.05)
    again = bench.ask("a", counted.stage(2))
    again.wait(LONG)
    assert again.answer == 2


def test_what_a_stopped_errand_worked_on_is_let_go() -> None:
    class Large:
        pass

    seen: list[weakref.ref[Large]] = []
    begun = threading.Event()

    def stage(told: Progress) -> None:
        large = Large()
        seen.append(weakref.ref(large))
        begun.set()
        while True:
            time.sleep(0.005)
            told(0.5)

    errand = Bench().ask("a", stage)
    assert begun.wait(LONG)
    errand.stop()
    errand.wait(LONG)
    assert isinstance(errand.error, StoppedError)
    gc.collect()
    assert seen[0]() is None


def test_memory_is_given_back_without_a_fault() -> None:
    assert give_back() in {True, False}


class Slow:
    """A stage that goes on as far as it is let."""

    def __init__(self) -> None:
        self.begun, self.go, self.ended = threading.Event(), threading.Event(), threading.Event()

    def stage(self, share: float) -> Callable[[Progress], str]:
        def run(told: Progress) -> str:
            told(share)
            self.begun.set()
            while not self.go.is_set():
                time.sleep(0.005)
                told(share)
            self.ended.set()
            return "answer"

        return run


def test_what_one_drawing_of_a_page_asks_for_is_done_in_turn() -> None:
    bench, counted = Bench(), Counted()
    bench.turn()
    first = bench.ask(1, counted.stage(1))
    second = bench.ask(2, counted.stage(2))
    assert bench.waits(second)
    for errand in (first, second):
        errand.wait(LONG)
    assert (first.answer, second.answer) == (1, 2)
    assert (counted.begun, counted.most) == ([1, 2], 1)


def test_what_is_asked_for_again_goes_on() -> None:
    bench, slow = Bench(), Slow()
    first = bench.ask("a", slow.stage(0.1))
    assert slow.begun.wait(LONG)
    bench.turn()
    assert bench.ask("a", slow.stage(0.1)) is first
    second = bench.ask("b", lambda _: "b")
    slow.go.set()
    second.wait(LONG)
    assert (first.answer, second.answer) == ("answer", "b")


def test_what_a_page_that_was_left_has_hardly_begun_gives_way() -> None:
    bench, slow = Bench(), Slow()
    first = bench.ask("a", slow.stage(0.1))
    assert slow.begun.wait(LONG)
    bench.turn()
    second = bench.ask("b", lambda _: "b")
    second.wait(LONG)
    assert second.answer == "b"
    assert (first.answers, slow.ended.is_set()) == ([], False)
    again = bench.ask("a", lambda _: "anew")
    again.wait(LONG)
    assert (again is first, again.answer) == (False, "anew")


def test_what_a_page_that_was_left_has_nearly_done_is_finished(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(work, "SOON", LONG)
    bench, slow = Bench(), Slow()
    first = bench.ask("a", slow.stage(0.99), lambda _: "better")
    assert slow.begun.wait(LONG)
    bench.turn()
    second = bench.ask("b", lambda _: "b")
    slow.go.set()
    second.wait(LONG)
    assert (first.answers, second.answer) == (["answer"], "b")


def test_what_was_found_before_it_gave_way_is_not_looked_for_again() -> None:
    bench, slow, counted = Bench(), Slow(), Counted()
    stages = counted.stage(1), slow.stage(0.1)
    first = bench.ask("a", *stages)
    assert slow.begun.wait(LONG)
    bench.turn()
    bench.ask("b", lambda _: "b").wait(LONG)
    assert bench.ask("a", *stages, enough=1) is first
    slow.go.set()
    again = bench.ask("a", *stages)
    again.wait(LONG, answers=2)
    assert again is not first
    assert again.answers == [1, "answer"]
    assert counted.begun == [1]


def test_what_has_answers_enough_gives_way_in_the_same_drawing() -> None:
    bench, slow = Bench(), Slow()
    first = bench.ask("a", lambda _: "quick", slow.stage(0.1), enough=1)
    assert slow.begun.wait(LONG)
    bench.turn()
    assert bench.ask("a", enough=1) is first
    second = bench.ask("b", lambda _: "b")
    second.wait(LONG)
    assert second.answer == "b"
    assert (first.answers, slow.ended.is_set()) == (["quick"], False)


def test_what_is_begun_ahead_is_under_way_before_the_first_answer_and_stops_with_it() -> None:
    begun, ended = threading.Event(), threading.Event()

    def beside(told: Progress) -> str:
        begun.set()
        try:
            while True:
                told(0.5)
                time.sleep(0.005)
        finally:
            ended.set()

    stages = (lambda _: begun.wait(LONG) and "preview", beside)
    errand = Bench().ask("a", *stages, calm=True, ahead=True)
    errand.wait(LONG)
    assert errand.answer == "preview"
    errand.stop()
    assert ended.wait(LONG)
    errand.wait(LONG, answers=2)
    assert errand.answers == ["preview"]
    assert not errand.alive


def test_what_was_begun_ahead_answers_second() -> None:
    errand = Bench().ask("a", lambda _: "preview", lambda _: "full", calm=True, ahead=True)
    errand.wait(LONG, answers=2)
    assert errand.answers == ["preview", "full"]
