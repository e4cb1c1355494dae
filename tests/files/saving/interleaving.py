"""Writers and readers of one case in processes of their own, all at once.

Every save raises one number in all files and adds the name of its writer to a list; every second
one also sets a file aside or brings it back. So a mixed reading shows by its numbers, and a save
that was acknowledged and lost by the list.
"""

import os
import random
import time
import traceback
from collections.abc import Callable, Mapping
from pathlib import Path

from optioneer.errors import RequestError
from optioneer.files.case.texts import fingerprint, folder_texts, save_texts
from optioneer.files.saving.commit import NAMES

LIST, COMES_AND_GOES = "machine.toml", "site.toml"


def number_of(texts: Mapping[str, str]) -> int:
    """The number that all files tell; fails where they are of different saves."""
    numbers = {int(text.split()[0]) for text in texts.values()}
    assert len(numbers) == 1, f"files of saves {sorted(numbers)} were read together"
    (number,) = numbers
    assert (COMES_AND_GOES in texts) == (number % 2 == 0), "a file is there too long, or not yet"
    return number


def state(number: int, names: str) -> dict[str, str]:
    """The texts of one save; `names` are the writers so far."""
    texts = {name: f"{number}\n" for name in NAMES if name != COMES_AND_GOES or number % 2 == 0}
    return {**texts, LIST: f"{number}\n{names}"}


def interleaved(folder: Path, *, writers: int, readers: int, acts: int, seed: int) -> list[int]:
    """Let them all work; how many saves were acknowledged, refused, and readings were done."""
    save_texts(state(0, ""), folder, opened="")
    shares = [acts // (writers + readers)] * (writers + readers)
    acting: list[Callable[[int, int, random.Random], tuple[int, int, int]]] = [
        *([lambda who, share, chance: _write(folder, who, share, chance)] * writers),
        *([lambda _, share, chance: _read(folder, share, chance)] * readers),
    ]
    told = [_child(act, who, shares[who], seed) for who, act in enumerate(acting)]
    counts = [_counted(pipe) for pipe in told]
    texts = folder_texts(folder)
    saved, refused, read = (sum(each) for each in zip(*counts, strict=True))
    assert number_of(texts) == saved, "an acknowledged save is lost"
    names = texts[LIST].split()[1:]
    for who, (acknowledged, _, _) in enumerate(counts[:writers]):
        mine = [name for name in names if name.startswith(f"{who}.")]
        assert mine == [f"{who}.{number}" for number in range(acknowledged)]
    return [saved, refused, read]


def _child(act: Callable[..., tuple[int, int, int]], who: int, share: int, seed: int) -> int:
    reading, writing = os.pipe()
    if os.fork() == 0:
        code = 1
        try:
            found = act(who, share, random.Random(f"{seed} {who}"))  # noqa: S311 - moments
            os.write(writing, " ".join(map(str, found)).encode())
            code = 0
        except BaseException:  # noqa: BLE001 - whatever it is, it is told
            traceback.print_exc()
        finally:
            os._exit(code)
    os.close(writing)
    return reading


def _counted(pipe: int) -> tuple[int, int, int]:
    with os.fdopen(pipe) as told:
        words = told.read().split()
    assert len(words) == 3, "a writer or a reader failed; it says why above"
    saved, refused, read = map(int, words)
    return saved, refused, read


def _write(folder: Path, who: int, share: int, chance: random.Random) -> tuple[int, int, int]:
    saved = refused = 0
    for _ in range(share):
        opened = folder_texts(folder)
        number = number_of(opened) + 1
        names = opened[LIST].partition("\n")[2]
        time.sleep(chance.uniform(0, 0.01))
        try:
            new = state(number, f"{names}{who}.{saved}\n")
            save_texts(new, folder, opened=fingerprint(opened))
        except RequestError as error:
            assert "somebody else has changed this case" in str(error), error  # noqa: PT017
            refused += 1
        else:
            saved += 1
    return saved, refused, share


def _read(folder: Path, share: int, chance: random.Random) -> tuple[int, int, int]:
    for _ in range(share):
        number_of(folder_texts(folder))
        time.sleep(chance.uniform(0, 0.004))
    return 0, 0, share
