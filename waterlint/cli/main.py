"""The front of the command line: finds the command, and turns the unexpected into status 2."""

from __future__ import annotations

import errno
import gc
import os
import sys
from collections.abc import Sequence

from waterlint.version import __version__

#: Each command's module and what it does. A module is imported only when its command is called.
COMMANDS: dict[str, tuple[str, str]] = {
    "check": ("waterlint.cli.check", "lint recipes, water reports and configurations"),
    "predict": ("waterlint.cli.predict", "show the water and mash figures of recipes"),
    "explain": ("waterlint.cli.explain", "say what a rule means and where its limits come from"),
    "suggest": (
        "waterlint.cli.suggest",
        "propose the smallest change of doses that clears findings",
    ),
    "sheet": ("waterlint.cli.sheet", "print what to weigh into which vessel, in order of use"),
    "compare": (
        "waterlint.cli.compare",
        "show what a new water report, or a change since a revision, does to recipes",
    ),
    "audit": ("waterlint.cli.audit", "show a whole collection as a table, and as a page"),
    "learn": ("waterlint.cli.learn", "learn the house's malts from measured mashes"),
    "fix": ("waterlint.cli.fix", "write into the files what can be mended"),
    "init": ("waterlint.cli.init", "write the files that a recipe repository starts with"),
    "hook": ("waterlint.cli.hook", "lint what a commit touches (what the git hook calls)"),
    "schema": ("waterlint.cli.schema", "print the JSON Schema of a kind of file"),
}

#: Set to anything but the empty text, an unexpected error is shown with its traceback.
TRACEBACK_VARIABLE = "WATERLINT_TRACEBACK"


#: What the system says when an output has no room left.
_FULL = frozenset({errno.ENOSPC, errno.EFBIG, getattr(errno, "EDQUOT", errno.ENOSPC)})


def usage() -> str:
    """The help of the command as a whole."""
    width = max(map(len, COMMANDS))
    lines = [
        "usage: waterlint COMMAND [OPTIONS] …",
        "",
        "Brewing-water recipes as safe as code.",
        "",
        *(f"  {name.ljust(width)}  {text}" for name, (_, text) in COMMANDS.items()),
        "",
        "`waterlint COMMAND --help` tells a command's options. Exit status: 0 nothing to report,",
        "1 findings, 2 the call or the configuration is wrong or something could not be read.",
    ]
    return "\n".join(lines)


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command line and give its exit status."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    _open_streams()
    # Reference counts free all that a run makes but a few cycles; looking for those over and over
    # takes two fifths of the time of a thousand files.
    collects = gc.isenabled()
    gc.disable()
    try:
        status = _dispatch(arguments)
        sys.stdout.flush()
        return status
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        # The reader has gone, as with `| head`: nothing is left to tell it.
        _let_go_of_output()
        return 1
    except Exception as error:
        if isinstance(error, OSError) and error.errno in _FULL:
            _let_go_of_output()
            sys.stderr.write(f"waterlint: the output cannot be written: {error.strerror}\n")
            return 2
        if os.environ.get(TRACEBACK_VARIABLE):
            raise
        sys.stderr.write(
            f"waterlint: unexpected {type(error).__name__}: {error}\n"
            "This is a fault of waterlint. Please report it with the files and the output of the "
            f"same call with {TRACEBACK_VARIABLE}=1.\n".encode(errors="backslashreplace").decode()
        )
        return 2
    finally:
        if collects:
            gc.enable()


def _open_streams() -> None:
    """Put the null device in the place of standard streams that the caller has closed."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115, PTH123


def _let_go_of_output() -> None:
    """Keep Python from complaining, and changing the status, when it flushes at exit."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _dispatch(arguments: list[str]) -> int:
    if "_ARGCOMPLETE" in os.environ:
        from waterlint.cli.completion import complete

        complete(COMMANDS)
    if not arguments or arguments[0] in {"-h", "--help", "help"}:
        _print(usage(), error=not arguments)
        return 0 if arguments else 2
    if arguments[0] in {"-V", "--version", "version"}:
        _print(f"waterlint {__version__}")
        return 0
    name, *rest = arguments
    if name not in COMMANDS:
        from difflib import get_close_matches

        near = get_close_matches(name, COMMANDS, 1)
        guess = f" Did you mean `waterlint {near[0]}`?" if near else ""
        _print(f"waterlint: there is no command {name!r}.{guess}\n\n{usage()}", error=True)
        return 2
    path = COMMANDS[name][0]
    __import__(path)  # `importlib` takes longer to import than this takes
    status: int = sys.modules[path].run(rest)
    return status


def _print(text: str, error: bool = False) -> None:
    stream = sys.stderr if error else sys.stdout
    encoding = stream.encoding or "utf-8"
    stream.write(text.encode(encoding, errors="replace").decode(encoding) + "\n")
