"""Clips and browser copies on a full disk, and with the film pulled away in the middle: said, and nothing half shown."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.film.faults import files_no_larger_than, left_in, pull_away
from tests.film.filming import film, numbered, steady
from tests.jobs.filmed import HOW, Filmed, now
from tests.store.workplaces import fresh_place

FOLDERS = {"export": "exports", "browser_copy": "copies"}
MAY_MOUNT = os.getuid() == 0 and sys.platform == "linux"
ROOM = 24 * 1024
CAMERA = [43.5, -62.0, 17.0, 0.24, 0.17, 0.006, 5.273, -0.01]
"""High in the stands, as wide as the small picture asks."""


@pytest.fixture(scope="module")
def phone(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A film of twelve seconds that no browser shows."""
    path = tmp_path_factory.mktemp("phone") / "freshman game.mp4"
    return film(path, steady(360), Fraction(1, 30), codec="mpeg4", size=(160, 96), options={"b": "2000000"})


def still(number: int, size: tuple[int, int]) -> np.ndarray[Any, Any]:
    """Return a picture of a camera that does not move, with the grain of a dark gym."""
    grain = np.random.default_rng(number).integers(0, 40, (size[1], size[0], 1), dtype=np.uint8)
    return numbered(4321, size) // 2 + grain


@pytest.fixture(scope="module")
def stand(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A film of eight seconds by a camera on a stand."""
    path = tmp_path_factory.mktemp("stand") / "freshman game.mp4"
    return film(path, steady(240), Fraction(1, 30), size=(160, 96), picture=still, options={"crf": "4"})


@pytest.fixture
def filmed(tmp_path: Path, request: pytest.FixtureRequest):
    (tmp_path / "films").mkdir()
    source = request.getfixturevalue(getattr(request, "param", "phone"))
    path = Path(shutil.copy(source, tmp_path / "films"))
    with fresh_place(tmp_path / "bench", None).open(now=now) as store:
        made = Filmed(store, path)
        store.jobs.ask_off(made.waiting("listen"), now())
        made.moment = made.mark(120, 140)
        yield made
        assert store.check() == ()


def asked(filmed: Filmed, kind: str, way: str = "exact") -> str:
    """Ask for a clip; the browser copy was asked for when the film was taken in."""
    if kind == "browser_copy":
        return ""
    return filmed.bench.clips.make([filmed.moment], "Disposal", {**HOW, "way": way})[0]


def nothing_is_shown(filmed: Filmed, kind: str, clip: str) -> None:
    folder = filmed.folder / FOLDERS[kind]
    assert not folder.exists() or left_in(folder) == []
    if clip:
        assert (filmed.clip(clip)["there"], filmed.clip(clip)["files"]) == (False, [])
    else:
        (part,) = filmed.bench.films.film(filmed.film["id"])["parts"]
        assert part["copy"] == ""


def is_whole(filmed: Filmed, kind: str, clip: str) -> None:
    if clip:
        assert filmed.clip(clip)["there"]
        assert len(left_in(filmed.folder / "exports")) == 2
        return
    copy = filmed.bench.films.path_of(filmed.part["fingerprint"])
    assert copy.parent.name == "copies"
    assert filmed.bench.films.footage.probe(copy)["frames"] == 360


def directions(told: dict[str, Any], filmed: Filmed) -> dict[str, str]:
    """Return the one problem of work that did not end well, told without a folder of this machine or a trace."""
    assert (told["state"], told["may"]) == ("failed", "again")
    (problem,) = told["error"]
    words = " ".join(problem.values())
    assert "Traceback" not in words
    assert str(filmed.folder.parent) not in words
    return problem


# ---- a full disk ---------------------------------------------------------------------------------


class SmallDisk:
    """A disk of its own under a folder, or files that may not become larger: either way the kernel refuses."""

    def __init__(self, folder: Path, *, mounted: bool) -> None:
        self.folder, self.mounted = folder, mounted

    def __enter__(self) -> SmallDisk:
        self.folder.mkdir(exist_ok=True)
        if self.mounted:
            mount = ("mount", "-t", "tmpfs", "-o", f"size={ROOM}", "tmpfs", str(self.folder))
            self.mounted = subprocess.run(mount, capture_output=True, check=False).returncode == 0
        return self

    def __exit__(self, *_: object) -> None:
        if self.mounted:
            subprocess.run(("umount", "-l", str(self.folder)), check=True)

    def around(self, work: Any, *given: Any) -> Any:
        if self.mounted:
            return work(*given)
        with files_no_larger_than(ROOM):
            return work(*given)


@pytest.mark.parametrize("mounted", [True, False] if MAY_MOUNT else [False])
@pytest.mark.parametrize(("kind", "way"), [("export", "exact"), ("export", "fast"), ("browser_copy", "")])
def test_a_full_disk_is_said_nothing_half_is_shown_and_with_room_it_is_made(filmed, kind, way, mounted):
    clip, before = asked(filmed, kind, way), filmed.marks()
    with SmallDisk(filmed.folder / FOLDERS[kind], mounted=mounted) as disk:
        told = filmed.do(kind, disk.around)
        problem = directions(told, filmed)
        assert "make room" in problem["do"]
        assert "nothing half is left" in problem["do"]
        nothing_is_shown(filmed, kind, clip)
        assert filmed.marks() == before
    filmed.store.jobs.again(told["id"], now())
    assert filmed.do(kind)["state"] == "done"
    is_whole(filmed, kind, clip)
    assert filmed.marks() == before


# ---- the film pulled away ------------------------------------------------------------------------


class PulledAway:
    """Ends the film when the work tells for the first time how far it is."""

    def __init__(self, path: Path) -> None:
        self.path, self.done = path, False

    def around(self, work: Any, args: Any, told: Any, cancelled: Any) -> Any:
        def tell(*far: Any) -> None:
            told(*far)
            if not self.done:
                self.done = True
                pull_away(self.path)

        return work(args, tell, cancelled)


@pytest.mark.parametrize("kind", ["export", "browser_copy"])
def test_a_film_pulled_away_in_the_middle_is_said_and_with_the_film_back_it_is_made(filmed, phone, kind):
    clip, before = asked(filmed, kind), filmed.marks()
    pulled = PulledAway(filmed.path)
    told = filmed.do(kind, pulled.around)
    assert pulled.done
    problem = directions(told, filmed)
    assert problem["where"] == filmed.path.name
    assert "plug the disk in again" in problem["do"]
    nothing_is_shown(filmed, kind, clip)
    assert filmed.marks() == before
    filmed.store.jobs.again(told["id"], now())
    gone = filmed.do(kind)  # not there at all by now: another machine may have it
    assert gone["state"] == "waiting"
    assert "Waits for a machine that finds the film" in gone["says"]
    assert "is cut short" in gone["says"]
    shutil.copy(phone, filmed.path)
    filmed.store.jobs.ask_off(gone["id"], now())
    filmed.store.jobs.again(gone["id"], now())
    assert filmed.do(kind)["state"] == "done"
    is_whole(filmed, kind, clip)
    assert filmed.marks() == before


@pytest.mark.parametrize("filmed", ["stand"], indirect=True)
def test_a_film_pulled_away_while_the_court_is_carried_leaves_no_half_of_it(filmed, stand):
    truth = {"picture": [160, 96], "camera": {"numbers": {120: CAMERA}}}
    anchor, before = filmed.anchor(120, truth), filmed.marks()
    filmed.bench.courts.follow(anchor, 0.6)
    pulled = PulledAway(filmed.path)
    told = filmed.do("follow", pulled.around)
    assert pulled.done
    problem = directions(told, filmed)
    assert problem["where"] == filmed.path.name
    assert "plug the disk in again" in problem["do"]
    assert not (filmed.folder / "followed").exists()
    assert filmed.bench.courts.anchors(filmed.film["id"])[0]["carried"] is None
    assert filmed.marks() == before
    shutil.copy(stand, filmed.path)
    filmed.store.jobs.again(told["id"], now())
    assert filmed.do("follow")["state"] == "done"
    assert filmed.bench.courts.anchors(filmed.film["id"])[0]["carried"]["frames"] == 18 + 1 + 18


# ---- a clip, between its two files and while it is made ------------------------------------------


class KilledError(BaseException):
    """Stands for the moment the program was killed."""


def test_a_clip_without_its_contact_sheet_is_not_shown(filmed, monkeypatch):
    from tenbetween.desk import clip_making

    clip = asked(filmed, "export")

    def cut_off(out: Path) -> None:
        raise KilledError

    with monkeypatch.context() as patch:
        patch.setattr(clip_making, "_keep_sheet", cut_off)
        with pytest.raises(KilledError):
            filmed.bench.clips.export({"clip": clip}, lambda *_: None, lambda: False)
    assert left_in(filmed.folder / "exports") == [f"clip-{clip}.mp4"]
    assert not filmed.clip(clip)["there"]
    filmed.bench.clips.export({"clip": clip}, lambda *_: None, lambda: False)
    is_whole(filmed, "export", clip)


def test_a_clip_changed_while_it_is_made_is_made_the_new_way_and_never_shown_the_old_way(filmed):
    clip = asked(filmed, "export")
    assert filmed.do("export")["state"] == "done"
    plain = filmed.bench.clips.file_of(clip).read_bytes()
    blur = {"blur": [{"marks": [[filmed.stamps[105], [0.2, 0.2, 0.8, 0.8]]]}]}
    filmed.bench.clips.change(clip, {"sound": True}, filmed.clip(clip)["version"])
    assert not filmed.clip(clip)["there"], "what was made the old way is not to be handed on"
    changed: list[str] = []
    seen: list[bool] = []

    def around(work: Any, args: Any, told: Any, cancelled: Any) -> Any:
        def tell(*far: Any) -> None:
            told(*far)
            if not changed:
                changed.append(filmed.bench.clips.change(clip, blur, filmed.clip(clip)["version"]))
            if far[0] % 20 == 1:
                seen.append(filmed.clip(clip)["there"])

        return work(args, tell, cancelled)

    job = filmed.do("export", around)
    assert (job["state"], changed) == ("done", [job["id"]]), "asked for while it runs, it is the same work"
    assert len(seen) > 4
    assert not any(seen)
    assert filmed.clip(clip)["there"]
    assert filmed.clip(clip)["blurred"] == 1
    assert filmed.bench.clips.file_of(clip).read_bytes() != plain
    assert differ(filmed, clip, plain) > 8


def differ(filmed: Filmed, clip: str, plain: bytes) -> float:
    """Return how much the last picture of a clip differs from that of another, on average."""
    import io

    import av
    import numpy as np

    def last(file: Any) -> Any:
        with av.open(file) as box:
            return [frame.to_ndarray(format="gray") for frame in box.decode(video=0)][-1].astype(int)

    return float(np.abs(last(str(filmed.bench.clips.file_of(clip))) - last(io.BytesIO(plain))).mean())
