"""Nothing leaves the machine, nobody else gets in, and what is written is only ever text."""

import http.client
import io
import socket
import zipfile
from pathlib import Path

import pytest
from playwright.sync_api import Browser, FilePayload

from optioneer.app.engine.drafts import Store
from tests.app.visits import small_mill
from tests.app.walks import LOADED
from tests.browser.machinery import HOME, Server
from tests.browser.prompt import expect
from tests.browser.visits import PAGES, Visit, visit_of
from tests.cases_as_texts import changed, few
from tests.patience import PATIENCE

MARK = "MARK"
ADDRESSES = "https://shop.example www.shop.example we@shop.example"
HOSTILE = (
    f"{MARK} <img src=x onerror=window.pwn=1> [go](javascript:window.pwn=2) $x_1$ "
    ":material/home: :red[no] `c` </script><script>window.pwn=3</script>"
)
NAME = HOSTILE[:67]
"""As much of it as is the name of a case."""

BROKEN_UP = f"""() => [...document.querySelectorAll('[data-testid=stApp] *')]
  .filter(each => each.closest('svg, canvas, style, script') === null
    && each.textContent.includes('{MARK}')
    && ![...each.children].some(child => child.textContent.includes('{MARK}')))
  .map(each => each.textContent)"""
"""What the innermost elements say in which the mark stands."""


def hostile_texts() -> dict[str, str]:
    """The small mill with addresses and hostile text wherever a name or note can be given.

    Looked at once a year, which is half of the work for the same texts.
    """
    texts = few(small_mill(64), *LOADED)
    texts = changed(texts, "growth.toml", "periods_per_year = 2", "periods_per_year = 1")
    for file in ("machine.toml", "growth.toml", "paying.toml", "site.toml"):
        texts[file] = "\n".join(
            f"name = '{ADDRESSES} {HOSTILE}'" if line.startswith("name =") else line
            for line in texts[file].splitlines()
        )
    head, *rows = texts["options.csv"].splitlines()
    place = head.split(",").index("name")
    texts["options.csv"] = "\n".join([head, *(_renamed(row, place) for row in rows)]) + "\n"
    return texts


def _renamed(row: str, place: int) -> str:
    import csv  # noqa: PLC0415 - only here

    cells = next(csv.reader([row]))
    cells[place] = f"{HOSTILE} {cells[0]}"
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()


def test_hostile_names_and_addresses_are_text_on_every_page_and_nobody_else_is_asked(
    visit: Visit,
) -> None:
    draft = visit.server.draft(NAME, hostile_texts())
    shown = addresses = 0
    visit.open("answer", draft.id)
    for word in PAGES:
        visit.turn_to(word)
        if word == "owner":
            visit.page.get_by_role("switch", name="Draw it").press("Space")
            expect(visit.page.get_by_test_id("stVegaLiteChart").first).to_be_visible()
            visit.settled()
        assert visit.page.evaluate("window.pwn") is None, word
        assert visit.page.locator("[onerror], a[href^=javascript]").count() == 0, word
        said = [each for each in visit.page.evaluate(BROKEN_UP) if HOSTILE not in each]
        assert [each for each in said if NAME not in each] == [], word
        links = visit.page.locator("a[href*='shop.example'], a[href^=mailto]")
        assert links.evaluate_all("each => each.map(one => one.outerHTML)") == [], word
        assert visit.faults == [], word
        shown += visit.text().count(HOSTILE)
        addresses += visit.text().count(ADDRESSES)
    assert shown > 50
    assert addresses > 20


def test_what_is_watched_for_outside_requests_sees_them(visit: Visit) -> None:
    visit.page.goto(f"{visit.server.url}/_stcore/health")
    visit.page.evaluate("fetch('https://example.org/').catch(() => null)")
    assert visit.faults == ["outside: https://example.org/"]
    visit.faults.clear()


def test_only_this_machine_is_listened_to(server: Server) -> None:
    with socket.create_connection((HOME, server.port), timeout=PATIENCE):
        pass
    for family, other in ((socket.AF_INET, "127.0.0.2"), (socket.AF_INET6, "::1")):
        with socket.socket(family) as tried:
            tried.settimeout(PATIENCE)
            assert tried.connect_ex((other, server.port)) != 0


def answered(
    server: Server, path: str, headers: dict[str, str], method: str = "GET"
) -> http.client.HTTPResponse:
    """The head of the answer to a request made by hand."""
    asked = http.client.HTTPConnection(HOME, server.port, timeout=PATIENCE)
    asked.putrequest(method, path, skip_host=True)
    for name, value in {"Host": f"{HOME}:{server.port}", **headers}.items():
        asked.putheader(name, value)
    asked.endheaders()
    response = asked.getresponse()
    asked.close()
    return response


SOCKET = "/_stcore/stream"
UPGRADE = {
    "Connection": "Upgrade",
    "Upgrade": "websocket",
    "Sec-WebSocket-Version": "13",
    "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ==",  # RFC 6455, section 1.3
}


def test_a_page_from_elsewhere_cannot_talk_to_the_app(server: Server) -> None:
    """All that is in a case goes through the socket; the framework guards it and uploads."""
    assert answered(server, SOCKET, UPGRADE).status == 101
    rebound = {**UPGRADE, "Host": f"elsewhere.example:{server.port}"}
    assert answered(server, SOCKET, rebound).status == 403
    foreign = {**UPGRADE, "Origin": "https://elsewhere.example"}
    assert answered(server, SOCKET, foreign).status == 403
    for header in ("content-security-policy", "x-frame-options"):
        assert answered(server, "/", {}).getheader(header) in {"frame-ancestors 'none'", "DENY"}
    upload = "/_stcore/upload_file/one/two"
    assert answered(server, upload, {"Content-Length": "0"}, "PUT").status == 403


@pytest.mark.parametrize(
    "path",
    [
        "/static/../../../../etc/passwd",
        "/static/..%2f..%2f..%2f..%2fetc/passwd",
        "/..%5c..%5cetc%5cpasswd",
        "/media/../../../etc/passwd",
        "/component/x/../../../../etc/passwd",
        "//etc/passwd",
    ],
)
def test_no_path_leads_out_of_what_is_served(server: Server, path: str) -> None:
    asked = http.client.HTTPConnection(HOME, server.port, timeout=PATIENCE)
    asked.putrequest("GET", path)
    asked.endheaders()
    said = asked.getresponse().read()
    asked.close()
    assert b"root:" not in said


def archive(members: dict[str, bytes]) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as written:
        for name, data in members.items():
            written.writestr(name, data)
    return held.getvalue()


def test_archives_that_climb_out_or_swell_are_refused_in_words(visit: Visit) -> None:
    visit.open()
    drafts = visit.server.state / "drafts"
    before = set(drafts.glob("*"))
    out, large = "a name that leads out of it", "would unpack to 60,000,000 bytes"
    hostile = {
        "up.zip": (archive({"../../../evil.toml": b"x = 1"}), out),
        "none.zip": (b"no archive at all", "no zip archive"),
        "root.zip": (archive({"/tmp/evil.toml": b"x = 1"}), out),  # noqa: S108 - to be refused
        "bomb.zip": (archive({"machine.toml": bytes(60_000_000)}), large),
        "../../book.xlsx": (archive({"xl/workbook.xml": bytes(60_000_000)}), f"xlsx: {large}"),
    }
    for name, (data, words) in hostile.items():
        given = FilePayload(name=name, mimeType="application/zip", buffer=data)
        visit.page.locator("input[type=file]").last.set_input_files(given)
        expect(visit.page.get_by_role("alert")).to_contain_text(words)
        visit.settled()
    assert set(drafts.glob("*")) == before
    assert not list(visit.server.state.parent.rglob("evil.toml"))
    assert not Path("/tmp/evil.toml").exists()  # noqa: S108 - as above


def test_two_visitors_see_nothing_of_each_other(chromium: Browser, visit: Visit) -> None:
    texts = small_mill(64)
    draft = visit.server.draft("nobody-elses", texts).with_texts({**texts, "site.toml": ""})
    Store(visit.server.state / "drafts").put(draft)
    visit.open("case", draft.id).says("unsaved changes")
    other = visit_of(chromium, visit.server)
    other.open("case", draft.id[:-1] + ("A" if draft.id[-1] != "A" else "B"))
    assert "Look at a demo" in other.text()
    assert "nobody-elses" not in other.text()
    other.end()
