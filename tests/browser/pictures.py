"""Pictures of every page: ``python -m tests.browser.pictures FOLDER [DEMO]``.

On a desk, a tablet and a phone, light and dark, as high as the page is.
"""

import itertools
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from optioneer.files.case.demos import demo_folders
from optioneer.files.case.texts import folder_texts
from tests.browser.machinery import QUIET, serving
from tests.browser.visits import PAGES, visit_of
from tests.programs import needed

SIZES = ((1440, 900), (820, 1180), (390, 844))


def main(folder: Path, demo: str) -> None:
    """Every page in both sizes, light and dark."""
    folder.mkdir(parents=True, exist_ok=True)
    texts = folder_texts(next(each for each in demo_folders() if each.name == demo))
    with (
        tempfile.TemporaryDirectory() as state,
        serving(Path(state)) as server,
        sync_playwright() as playwright,
    ):
        browser = playwright.chromium.launch(executable_path=needed("chromium"), args=list(QUIET))
        visit = visit_of(browser, server)
        draft = server.draft(demo.replace("-", " "), texts)
        for word, scheme in itertools.product(PAGES, ("light", "dark")):
            visit.open(word, draft.id)
            visit.page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type] # one of its words
            for width, height in SIZES:
                visit.sized(width, height)
                visit.page.screenshot(path=folder / f"{word}-{width}-{scheme}.png")
        browser.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2] if len(sys.argv) > 2 else "small-mill")
