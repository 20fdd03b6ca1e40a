"""The house keeps its shape: imports run one way, files and functions stay small, each thing has its one place."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from importlinter import cli

import farmsim
from farmsim import machine_code
from farmsim.model.site import Site

ROOT = Path(farmsim.__file__).parent
FILES = sorted(ROOT.rglob("*.py"))
STAGES = sorted((ROOT / "model" / "stages").glob("*.py"))
LONGEST_FILE = 400
LONGEST_FUNCTION = 60
LUCK = ROOT / "model" / "luck.py"
DESK = ROOT / "model" / "desk.py"


def name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def dotted(node: ast.expr) -> str:
    """A name such as np.random.default_rng, as it is written."""
    if isinstance(node, ast.Attribute):
        return f"{dotted(node.value)}.{node.attr}"
    return node.id if isinstance(node, ast.Name) else "?"


def functions(path: Path) -> Iterator[ast.FunctionDef]:
    return (node for node in ast.walk(tree(path)) if isinstance(node, ast.FunctionDef))


def length(function: ast.FunctionDef) -> int:
    """Lines of a function, its docstring left out."""
    body = function.body[1:] if ast.get_docstring(function) is not None else function.body
    return (function.end_lineno or 0) - body[0].lineno + 1 if body else 0


def imported(path: Path) -> set[str]:
    """Every module and name a file imports."""
    found: set[str] = set()
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module is not None:
            found |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def test_imports_run_one_way(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(ROOT.parent)
    code = cli.lint_imports(config_filename="pyproject.toml", no_cache=True)
    assert code == 0, capsys.readouterr().out


def test_there_are_files_to_look_at() -> None:
    assert len(FILES) > 60
    assert len(STAGES) == 19


def test_no_file_is_longer_than_400_lines() -> None:
    lines = {name(path): len(path.read_text(encoding="utf-8").splitlines()) for path in FILES}
    assert {file: count for file, count in lines.items() if count > LONGEST_FILE} == {}


def test_no_function_is_longer_than_60_lines() -> None:
    long = {
        f"{name(path)}: {f.name}": length(f) for path in FILES for f in functions(path) if length(f) > LONGEST_FUNCTION
    }
    assert long == {}


def test_every_file_says_what_it_holds() -> None:
    assert [name(path) for path in FILES if not ast.get_docstring(tree(path))] == []


def test_every_public_function_of_the_model_says_what_it_does() -> None:
    """Steps of a stage are named for what they do and listed in their stage's docstring."""
    silent = []
    for path in FILES:
        if path.parent == ROOT / "model" and path.name != "__init__.py":
            silent += [
                f"{name(path)}: {node.name}"
                for node in tree(path).body
                if isinstance(node, ast.FunctionDef | ast.ClassDef)
                and not node.name.startswith("_")
                and not ast.get_docstring(node)
            ]
    assert silent == []


def test_the_site_has_no_behaviour() -> None:
    assert [key for key, value in vars(Site).items() if callable(value) and not key.startswith("__")] == []
    site = next(node for node in tree(ROOT / "model" / "site.py").body if getattr(node, "name", "") == "Site")
    assert isinstance(site, ast.ClassDef)
    assert [node for node in site.body if isinstance(node, ast.FunctionDef)] == []


def test_random_numbers_are_drawn_only_in_luck() -> None:
    drawing = re.compile(r"(numpy|np)\.random|default_rng")
    guilty = {
        name(path)
        for path in FILES
        if any(module.split(".")[0] in ("random", "secrets") for module in imported(path))
        or any(drawing.search(dotted(node)) for node in ast.walk(tree(path)) if isinstance(node, ast.Attribute))
        or any(drawing.search(module) for module in imported(path))
    }
    assert guilty == {name(LUCK)}


def test_only_the_desk_touches_the_schedule_of_simpy() -> None:
    guilty = {
        name(path)
        for path in FILES
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Attribute)
        and (node.attr in ("_queue", "_eid", "_now") or (node.attr == "schedule" and isinstance(node.ctx, ast.Load)))
    }
    assert guilty == {name(DESK)}


def test_nothing_prints_but_the_screen() -> None:
    guilty = {
        name(path)
        for path in FILES
        if path.relative_to(ROOT).parts[0] != "cli"
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Call) and dotted(node.func) == "print"
    }
    assert guilty == set()


STATE_OF_A_ROUND = {"site.inspections", "site.promised_blocks[]"}
"""What goes up and down on the site: tasks of the round that is going on, blocks promised and not due yet."""


def test_stages_count_nothing_for_reports() -> None:
    """A running total belongs to `record/measures`; what a stage adds to on the site is state it also takes from."""
    added: set[str] = set()
    for path in STAGES:
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.AugAssign):
                target = node.target
                where = dotted(target.value) + "[]" if isinstance(target, ast.Subscript) else dotted(target)
                if where.startswith("site."):
                    added.add(where)
    assert added <= STATE_OF_A_ROUND


def test_stages_never_read_anothers_private_names() -> None:
    guilty = [
        f"{name(path)}: {dotted(node)}"
        for path in STAGES
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Attribute)
        and node.attr.startswith("_")
        and dotted(node.value) not in ("self", "picked")
    ]
    assert guilty == []


def test_no_stage_knows_a_strain_by_name() -> None:
    strains = re.compile(r"shiitake|oyster|lion|chestnut|nameko|maitake|reishi", re.IGNORECASE)
    guilty = [
        f"{name(path)}: {node.value!r}"
        for path in FILES
        if path.relative_to(ROOT).parts[0] == "model"
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and strains.fullmatch(node.value)
    ]
    assert guilty == []


def test_no_file_is_a_drawer_for_everything() -> None:
    drawers = {"utils", "util", "helpers", "common", "core", "manager", "base", "misc"}
    assert [name(path) for path in FILES if path.stem in drawers] == []


def test_only_the_pool_knows_where_work_runs() -> None:
    workers = ("multiprocessing", "concurrent", "distributed", "dask", "joblib", "threading")
    guilty = {name(path) for path in FILES if any(module.split(".")[0] in workers for module in imported(path))}
    assert guilty <= {"study/pool.py"}


def test_what_is_translated_adds_up_lists() -> None:
    """Machine code adds up a generator one by one; Python, from 3.12 on, makes up for what rounding loses: other bytes."""
    guilty = [
        f"{path.name}:{node.lineno}"
        for path in machine_code.sources()
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Call) and dotted(node.func) == "sum" and isinstance(node.args[0], ast.GeneratorExp)
    ]
    assert guilty == []


def test_nothing_is_done_at_import_but_naming() -> None:
    """No file runs a loop, opens anything or calls something for its effect when it is imported.

    The package itself does one thing: Python is told where machine code of the model lies, before any of it is imported.
    """
    guilty = []
    for path in FILES:
        if path.name == "__main__.py":
            continue
        for node in tree(path).body:
            is_docstring = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
            if isinstance(node, ast.For | ast.While | ast.With) or (isinstance(node, ast.Expr) and not is_docstring):
                guilty.append(f"{name(path)}: {ast.unparse(node)}")
    assert guilty == ["__init__.py: machine_code.offer()"]
