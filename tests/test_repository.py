"""What a newcomer trusts before he reads code: papers are true, locks name no host, house rules hold."""

from __future__ import annotations

import ast
import base64
import json
import os
import re
import statistics
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

import tenbetween

ROOT = Path(__file__).resolve().parent.parent
SRC = ROOT / "src" / "tenbetween"
LOCKS = ("requirements.txt", "requirements-dev.txt", "requirements-oracles.txt")
PAPERS = ("README.md", "ARCHITECTURE.md", "CONTRIBUTING.md", "CHANGELOG.md")
BINARY = {".woff2", ".ttf", ".png", ".pdf", ".ico", ".db"}


def read(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def our_files() -> list[Path]:
    """Return every file that is, or would be, kept in the repository."""
    words = ("git", "ls-files", "--cached", "--others", "--exclude-standard", "-z")
    listed = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return [ROOT / name for name in listed.split("\0") if name and (ROOT / name).is_file()]


def our_texts() -> list[tuple[str, str]]:
    files = [path for path in our_files() if path.suffix not in BINARY]
    return [(str(path.relative_to(ROOT)), path.read_text(encoding="utf-8")) for path in files]


def project() -> dict[str, object]:
    return tomllib.loads(read("pyproject.toml"))["project"]  # type: ignore[no-any-return]


def modules() -> list[Path]:
    return sorted(SRC.rglob("*.py"))


# -- the papers ----------

PATH_IN_TEXT = re.compile(r"`([\w.<>*-]+(?:/[\w.<>*-]+)*/?)`")
KNOWN_ENDINGS = (".py", ".toml", ".md", ".txt", ".json", ".js", ".css", ".html", ".svg", ".ts", ".csv")
MADE_LATER = {
    "media.toml",
    "tenbetween.db",
    "layers/",
    "exports/",
    ".venv/",
    "dist/",
}  # stand in the trainer's folder, not here


def paths_named(text: str) -> list[str]:
    found = PATH_IN_TEXT.findall(text)
    return [word for word in found if word.endswith("/") or word.endswith(KNOWN_ENDINGS)]


def stands(word: str) -> bool:
    pattern = re.sub(r"<[^>]*>", "*", word.rstrip("/"))
    return any(list(place.glob(pattern)) for place in (ROOT, SRC, ROOT / "tests"))


@pytest.mark.parametrize("paper", ["README.md", "ARCHITECTURE.md", "CONTRIBUTING.md"])
def test_every_path_a_paper_names_exists(paper: str) -> None:
    lost = sorted({word for word in paths_named(read(paper)) if word not in MADE_LATER and not stands(word)})
    assert lost == [], f"{paper} names what is not there"


def test_architecture_names_every_room() -> None:
    text = read("ARCHITECTURE.md")
    rooms = {path.stem for path in SRC.iterdir() if not path.name.startswith("_") and path.name != "py.typed"}
    assert sorted(room for room in rooms if not re.search(rf"\b{room}\b", text)) == []


def test_readme_says_the_job_in_its_first_paragraph_and_then_two_commands() -> None:
    title, job, *rest = re.split(r"\n\s*\n", read("README.md").strip())
    assert title == "# Tenbetween"
    assert {"trains", "basketball", "officials", "two"} <= set(re.findall(r"\w+", job))
    first_block = next(part for part in rest if part.startswith("```"))
    assert re.findall(r"^make \w+", first_block, re.MULTILINE) == ["make demo", "make test"]


def test_ci_runs_what_the_readme_tells_a_developer_to_run() -> None:
    steps = read(".ci/run").splitlines()
    assert "make lint" in steps
    assert "make test" in steps
    assert (ROOT / ".ci" / "run").stat().st_mode & 0o111


def test_every_make_target_a_paper_names_exists() -> None:
    targets = set(re.findall(r"^([a-z]+):", read("Makefile"), re.MULTILINE))
    # in a block of commands or between backticks, not in a sentence that happens to say "make"
    named = {
        word for paper in PAPERS for word in re.findall(r"(?:^|`)make ([a-z]+)", read(paper), re.MULTILINE)
    }
    assert named - targets == set()
    assert {"demo", "test"} <= named


def test_one_version_everywhere() -> None:
    top = re.search(r"^## (\S+)", read("CHANGELOG.md"), re.MULTILINE)
    assert top is not None
    assert top[1] == project()["version"] == tenbetween.__version__


def test_licence_is_the_whole_apache_licence() -> None:
    text = read("LICENSE")
    assert "Apache License" in text
    assert "END OF TERMS AND CONDITIONS" in text


# -- words and addresses ----------

# Written so that the words themselves stand nowhere in the project, this file included.
NAMES_OF_OTHERS = base64.b64decode(
    "bmZoc3xuYXRpb25hbCBmZWRlcmF0aW9ufGJldHRlciBvZmZpY2lhbHxzZWVkIGRvY3VtZW50fGhlbHBlciBzZXNzaW9ufHN1Yi0/YWdlbnQ="
).decode()
MACHINE_PATHS = r"/home/\w|/root/|/Users/\w|[.]pyenv|\.\./shared"
HOSTS = r"(https?://|@)(registry|index|files|deb|security|pypi|mirror)[a-z0-9.-]*\.[a-z]{2,}"
THREE_PERSON = r"\b(strong|weak)[- ]side\b"


def test_the_forbidden_words_are_found_when_they_stand_there() -> None:
    planted = base64.b64decode("bmF0aW9uYWwgZmVkZXJhdGlvbg==").decode()
    assert re.search(NAMES_OF_OTHERS, f"the {planted.title()} says", re.IGNORECASE)
    assert re.search(HOSTS, "ht" + "tps://" + "files.example.org/x")


def test_no_forbidden_word_host_or_machine_path() -> None:
    deny = re.compile("|".join((NAMES_OF_OTHERS, MACHINE_PATHS, HOSTS, THREE_PERSON)), re.IGNORECASE)
    me = str(Path(__file__).relative_to(ROOT))
    bad = [
        f"{name}:{number}: {line.strip()[:100]}"
        for name, text in our_texts()
        if name != me
        for number, line in enumerate(text.splitlines(), 1)
        if deny.search(line)
    ]
    assert bad == []


def test_no_tracked_file_is_large() -> None:
    large = {str(path.relative_to(ROOT)) for path in our_files() if path.stat().st_size > 400 * 1024}
    assert large == set(), "generate large files instead of keeping them"


# -- the locks ----------

ADDRESS = re.compile(r"://|\b[\w-]+\.(org|com|net|io|dev)\b|index-url|find-links|^-", re.MULTILINE)
PINNED = re.compile(r"^([a-z0-9][a-z0-9._-]*)==\S+", re.MULTILINE)


def pinned(lock: str) -> set[str]:
    return set(PINNED.findall(read(lock)))


@pytest.mark.parametrize("lock", LOCKS)
def test_lock_names_no_host_and_every_package_has_a_digest(lock: str) -> None:
    text = read(lock)
    assert ADDRESS.findall(text) == []
    blocks = re.split(r"\n(?=[a-z0-9])", text)
    packages = [block for block in blocks if PINNED.match(block)]
    assert len(packages) >= 2
    assert [block.split()[0] for block in packages if "--hash=sha256:" not in block] == []


def test_node_lock_records_no_download_address() -> None:
    lock = json.loads(read("dev/package-lock.json"))
    entries = {name: entry for name, entry in lock["packages"].items() if name}
    assert "node_modules/typescript" in entries
    assert [name for name, entry in entries.items() if "resolved" in entry or "integrity" not in entry] == []
    assert "http" not in read("dev/package-lock.json")


def test_locks_hold_what_the_project_asks_for() -> None:
    asked = {re.split(r"[\[<>=~ ]", str(line))[0] for line in project()["dependencies"]}  # type: ignore[attr-defined]
    assert asked | {"hatchling"} <= pinned("requirements.txt")
    assert pinned("requirements.txt") | {"psycopg", "pytest", "ruff", "mypy"} <= pinned(
        "requirements-dev.txt"
    )


def test_both_locks_pin_the_same_versions() -> None:
    def lines(lock: str) -> set[str]:
        return {match[0] for match in PINNED.finditer(read(lock))}

    assert lines("requirements.txt") <= lines("requirements-dev.txt")


def test_nothing_is_asked_of_a_network_while_the_locks_are_unchanged() -> None:
    """`make test` has installed everything; the same step, with no index to ask, succeeds in silence."""
    here = {"PATH": os.environ["PATH"], "PIP_NO_INDEX": "1", "npm_config_offline": "true"}
    words = ("dev/install", "run", "dev", "node")
    done = subprocess.run(words, cwd=ROOT, env=here, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_an_unknown_set_to_install_is_answered_with_directions() -> None:
    done = subprocess.run(("dev/install", "films"), cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "'films' is not a set; use run, film, dev, node or system" in done.stderr


# -- the wheel ----------


def test_wheel_carries_every_file_of_the_package(tmp_path: Path) -> None:
    build = (sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path))
    subprocess.run(build, cwd=ROOT, check=True, capture_output=True)
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        inside = set(archive.namelist())
        entry = archive.read(next(name for name in inside if name.endswith("entry_points.txt"))).decode()
    here = {str(path.relative_to(ROOT / "src")) for path in our_files() if path.is_relative_to(SRC)}
    assert here - inside == set()
    assert not [name for name in inside if name.startswith(("tests/", "dev/"))]
    assert "tenbetween = tenbetween.cli:main" in entry


# -- the house rules ----------


def test_a_room_knows_only_the_rooms_below_it() -> None:
    lint = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run((lint, "--no-cache"), cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout


def functions(path: Path) -> list[tuple[str, ast.FunctionDef | ast.AsyncFunctionDef]]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    kinds = (ast.FunctionDef, ast.AsyncFunctionDef)
    return [
        (f"{path.relative_to(SRC)}:{node.lineno} {node.name}", node)
        for node in ast.walk(tree)
        if isinstance(node, kinds)
    ]


def body_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Count the lines of a body; the docstring with its example is not length."""
    body = function.body[1:] if ast.get_docstring(function, clean=False) is not None else function.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def test_functions_are_short() -> None:
    """The house rule: half of them under 8 lines, 95 in 100 under 40."""
    lengths = sorted((body_lines(node), where) for path in modules() for where, node in functions(path))
    sizes = [size for size, _ in lengths]
    long = [f"{size} lines: {where}" for size, where in lengths if size >= 40]
    assert statistics.median(sizes) < 8
    assert len(long) <= 0.05 * len(sizes), long


def test_files_are_of_a_size_one_can_read() -> None:
    large = {
        str(path.relative_to(SRC)): len(path.read_text(encoding="utf-8").splitlines()) for path in modules()
    }
    assert {name: size for name, size in large.items() if size > 600} == {}


def test_names_and_depth_of_files() -> None:
    vague = {"utils", "helpers", "common", "base", "core", "misc", "manager"}
    assert [str(path) for path in modules() if path.stem in vague or path.parent.name in vague] == []
    assert [str(path) for path in modules() if len(path.relative_to(SRC).parts) > 4] == []


def test_every_module_says_what_it_knows_and_uses_the_annotations_of_today() -> None:
    def faults(path: Path) -> list[str]:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        future = any(isinstance(node, ast.ImportFrom) and node.module == "__future__" for node in tree.body)
        named = [] if ast.get_docstring(tree) else [f"{path.relative_to(SRC)}: no docstring"]
        return named + (
            [] if future or not tree.body else [f"{path.relative_to(SRC)}: no future annotations"]
        )

    assert [fault for path in modules() if "migrations" not in path.parts for fault in faults(path)] == []


# Clock, dice, network, other programs and printing are handed in; these rooms are the outside.
OUTSIDE = {"cli", "web", "dev", "store", "formats", "jobs", "film", "__main__"}
OUTSIDE_MODULES = {
    "random",
    "secrets",
    "time",
    "socket",
    "subprocess",
    "urllib",
    "http",
    "os",
    "tempfile",
    "uuid",
}
OUTSIDE_CALLS = {"open", "print", "input"}
CLOCKS = {"now", "today", "utcnow"}


def reaches_outside(node: ast.AST) -> str | None:
    match node:
        case ast.ImportFrom(module="urllib.parse"):
            return None  # it only writes text as part of an address
        case ast.Import(names=names):
            return next((name.name for name in names if name.name.split(".")[0] in OUTSIDE_MODULES), None)
        case ast.ImportFrom(module=str(module), level=0) if module.split(".")[0] in OUTSIDE_MODULES:
            return module
        case ast.Call(func=ast.Name(id=name)) if name in OUTSIDE_CALLS:
            return f"{name}()"
        case ast.Call(func=ast.Attribute(value=ast.Name(id="datetime" | "date"), attr=name)) if (
            name in CLOCKS
        ):
            return f"{name}()"
        case _:
            return None


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("import random", "random"),
        ("from time import sleep", "time"),
        ("open('x')", "open()"),
        ("datetime.now(UTC)", "now()"),
        ("date.today()", "today()"),
        ("now(situation)", None),
        ("from tenbetween.court import post", None),
    ],
)
def test_reaching_outside_is_noticed(line: str, found: str | None) -> None:
    told = [word for node in ast.walk(ast.parse(line)) if (word := reaches_outside(node))]
    assert told == ([found] if found else [])


def test_inner_rooms_have_no_clock_no_dice_no_network() -> None:
    inner = [path for path in modules() if path.relative_to(SRC).parts[0].removesuffix(".py") not in OUTSIDE]
    reaching = [
        f"{path.relative_to(SRC)}:{getattr(node, 'lineno', 0)}: {word}"
        for path in inner
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if (word := reaches_outside(node))
    ]
    assert reaching == []


def test_no_test_is_skipped() -> None:
    """A test that does not run says nothing."""
    words = re.compile(r"pytest\.(skip|importorskip|mark\.skip|mark\.xfail|xfail)|\bassert True\b")
    me = Path(__file__)
    tests = [path for path in (ROOT / "tests").rglob("*.py") if path != me]
    assert [str(path) for path in tests if words.search(path.read_text(encoding="utf-8"))] == []
