"""farmsim in one command, for a machine that has only Python 3.11 or newer and pip.

    python3 go.py run scenarios/four-rooms.toml     simulate a farm; every other farmsim command goes the same way
    python3 go.py test                              format, lint, types, import contracts, tests
    python3 go.py tests/benchmarks/run.py           any Python file, such as the benchmarks

It makes .venv beside this file, installs farmsim there in the tested versions (constraints.txt), translates the model into
machine code if there is a C compiler, and does what was asked. It installs again only when pyproject.toml or
constraints.txt has changed, and translates again when the model has.
"""

import contextlib
import hashlib
import importlib.util
import os
import subprocess
import sys
import time
from pathlib import Path

NEEDS = (3, 11)
HERE = Path(__file__).resolve().parent
VENV = HERE / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
STAMP = VENV / "farmsim-installed.txt"
TRANSLATED = VENV / "farmsim-translated.txt"
DECIDES = ("pyproject.toml", "constraints.txt")
MODEL = tuple(HERE / "farmsim" / name for name in ("model", "record", "machine_code"))
STOPPED = 130

CHECKS = (
    ("format", ("-m", "ruff", "format", "--check", "--quiet", ".")),
    ("lint", ("-m", "ruff", "check", "--quiet", ".")),
    ("types", ("-m", "mypy")),
    ("import contracts", ("-c", "from importlinter.cli import lint_imports_command as check; check()", "--no-logo")),
    ("tests", ("-m", "pytest", "-n", "auto")),
)


def main(words: "list[str]") -> int:
    """Set up what is needed, then hand over. Gives the exit code."""
    if sys.version_info < NEEDS:
        version = ".".join(map(str, sys.version_info[:3]))
        return give_up(f"farmsim needs Python 3.11 or newer; this is Python {version} ({sys.executable}).")
    if not words:
        print((__doc__ or "").strip())
        return 2
    is_test, is_file = words[0] == "test", words[0].endswith(".py")
    fresh = set_up("dev" if is_test or is_file else "farm")
    if fresh or not is_test:  # who changes the model and tests it again and again need not wait for it each time
        translate()
    if is_test:
        return check(words[1:])
    if not is_file:
        os.environ["FARMSIM_CALLED"] = (
            f"{'py' if os.name == 'nt' else 'python3'} {sys.argv[0]}"  # so that it names itself
        )
    return hand_over([str(PYTHON), *(() if is_file else ("-m", "farmsim")), *words])


# --- setting up -----------------------------------------------------------------------------------------------------


def set_up(extra: str) -> bool:
    """Make .venv and install, unless that was done before from the same files; "dev" holds all that "farm" does.

    Tells whether anything was installed.
    """
    wanted = digest()
    found, had = (STAMP.read_text(encoding="utf-8").split() if STAMP.exists() else ["", ""])[:2]
    if found == wanted and had in (extra, "dev"):
        return False
    try:
        if not is_usable():
            make_venv()
        STAMP.unlink(missing_ok=True)
        install("dev" if had == "dev" else extra)
        STAMP.write_text(f"{wanted} {'dev' if had == 'dev' else extra}\n", encoding="utf-8")
    except OSError as fault:
        sys.exit(give_up(f"cannot write in {HERE}: {fault}.", "Put the folder where you may write and try again."))
    return True


def translate() -> None:
    """Make machine code of the model, once for the files as they are; where that cannot be, farmsim runs as it is."""
    if os.environ.get("FARMSIM_MACHINE_CODE") == "off":
        return
    told = hashlib.sha256(digest().encode())
    for file in sorted(file for folder in MODEL for file in folder.rglob("*.py")):
        told.update(file.read_bytes())
    if TRANSLATED.exists() and TRANSLATED.read_text(encoding="utf-8") == told.hexdigest():
        return
    say("translating the model into machine code, a minute or two; every run then takes a third of the time")
    done = subprocess.run([str(PYTHON), "-m", "farmsim", "compile"], capture_output=True, text=True)
    if done.returncode:
        say(f"the model was not translated: {done.stderr.partition('Error: ')[2].strip() or done.stderr.strip()}")
        say("farmsim runs all the same. Once that is mended: python3 go.py compile")
    with contextlib.suppress(OSError):
        TRANSLATED.write_text(told.hexdigest(), encoding="utf-8")


def digest() -> str:
    """What was installed from: it changes with the files that decide it, the folder and Python's version."""
    told = [str(HERE), str(sys.version_info[:2]), *((HERE / name).read_text(encoding="utf-8") for name in DECIDES)]
    return hashlib.sha256("\n".join(told).encode()).hexdigest()[:16]


def is_usable() -> bool:
    """Whether .venv is whole and made by this very Python; one that was interrupted or copied is made again."""
    wants = "sys, pip" if has("ensurepip") else "sys"
    return runs(PYTHON, f"import {wants}; sys.exit(sys.version_info[:2] != {sys.version_info[:2]})")


def make_venv() -> None:
    """A fresh .venv, with a pip of its own if Python brings one."""
    if not has("venv") or not (has("ensurepip") or has("pip")):
        hint = "On Debian or Ubuntu: sudo apt install python3-venv. Elsewhere install Python with pip and venv."
        sys.exit(give_up("this Python cannot make a virtual environment with pip in it.", hint))
    import venv

    say(f"making {VENV.name} with Python {sys.version_info[0]}.{sys.version_info[1]}")
    try:
        venv.EnvBuilder(with_pip=has("ensurepip"), clear=True, symlinks=os.name != "nt").create(VENV)
    except subprocess.CalledProcessError as fault:
        sys.exit(give_up(f"{VENV.name} could not be made: {fault}.", "Is the disk full, or Python's own pip damaged?"))


def install(extra: str) -> None:
    """Install farmsim from this folder, so that a change of its code needs no new installation."""
    say("installing farmsim and what it stands on; the first time this takes a minute or two")
    pip = [str(PYTHON), "-m", "pip"]
    if not runs(PYTHON, "import pip"):
        pip = [sys.executable, "-m", "pip", "--python", str(PYTHON)]
    words = ["--quiet", "--disable-pip-version-check", "--no-input", "--constraint", str(HERE / "constraints.txt")]
    what = ["--editable", f"{HERE}[dev]" if extra == "dev" else f"{HERE}[fast,pack]"]
    patience = {"PIP_RETRIES": "2", "PIP_DEFAULT_TIMEOUT": "20", **os.environ}
    done = subprocess.run([*pip, "install", *words, *what], stderr=subprocess.PIPE, text=True, env=patience, cwd=HERE)
    if done.returncode:
        lines = done.stderr.strip().splitlines()
        told = [f"    {line}" for line in lines if line.startswith("ERROR")] or lines
        sys.exit(give_up("pip could not install farmsim. It said:", *told[-6:], likely_cause(done.stderr)))


def likely_cause(told: str) -> str:
    """What most likely stands behind pip's words, and how to mend it."""
    if any(sign in told for sign in ("Failed to establish", "name resolution", "timed out", "from versions: none")):
        return "Most likely the network cannot be reached: check the connection (or the proxy pip needs) and try again."
    if "No space left" in told:
        return "The disk is full: farmsim and what it stands on take about 600 MB."
    return "Mend that and try again."


def has(module: str) -> bool:
    """Whether this Python has that module."""
    return importlib.util.find_spec(module) is not None


def runs(python: Path, code: str) -> bool:
    """Whether this Python is there and can do that."""
    try:
        return subprocess.run([str(python), "-c", code], capture_output=True).returncode == 0
    except OSError:
        return False


# --- doing ----------------------------------------------------------------------------------------------------------


def check(words: "list[str]") -> int:
    """Every check in turn, even when one fails; further words go to pytest. The tests come last."""
    began, failed = time.monotonic(), []
    for name, command in CHECKS:
        say(name)
        more = words if name == "tests" else []
        if subprocess.run([str(PYTHON), *command, *more], cwd=HERE).returncode:
            failed.append(name)
    took = f"{time.monotonic() - began:.0f} s"
    say(f"not in order: {', '.join(failed)} ({took})" if failed else f"all in order ({took})")
    return 1 if failed else 0


def hand_over(command: "list[str]") -> int:
    """The command takes this process over, so that Ctrl-C and exit codes are its own."""
    sys.stdout.flush()
    if os.name == "posix":
        try:
            os.execv(command[0], command)
        except OSError as fault:
            return give_up(
                f"{command[0]} cannot be run: {fault.strerror}.", f"Delete {VENV.name}, and it is made again."
            )
    child = subprocess.Popen(command)
    while True:
        try:
            return child.wait()
        except KeyboardInterrupt:
            pass  # the command hears Ctrl-C too and ends in its own way


def say(line: str) -> None:
    """One line about what is being done, told apart from what the command itself prints."""
    print(f"== {line}", file=sys.stderr, flush=True)


def give_up(*lines: str) -> int:
    """Say what is missing and how to mend it."""
    print("\n".join(("Error: " + lines[0], *lines[1:])), file=sys.stderr)
    return 2


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        print("\nStopped.", file=sys.stderr)
        sys.exit(STOPPED)
