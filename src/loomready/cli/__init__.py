"""The command line. It reads, calls the engine, and prints. Heavy modules load when needed."""

from __future__ import annotations

import gettext
import os
import sys
from typing import Annotated

import typer

from loomready import __version__
from loomready.catalogs import DOMAIN, LOCALE
from loomready.cli import boards, choose, drafts, event, slips, warps
from loomready.cli.common import app
from loomready.cli.language import _, catalog, in_language, tell
from loomready.phrases import ENGLISH, joined, phrase, translated
from loomready.problems import BadInput, LoomreadyError

__all__ = ["app", "boards", "choose", "drafts", "event", "main", "slips", "warps"]


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"loomready {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def top(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help=_("show the version"))
    ] = False,
) -> None:
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


def main(arguments: list[str] | None = None) -> int:
    """Run a command. Returns 0 done, 1 done with a stop, 2 bad input (one line on standard error)."""
    # A closed stream is None: what is said there goes nowhere, and not elsewhere.
    sys.stdout = sys.stdout or open(os.devnull, "w")  # noqa: PTH123, SIM115
    sys.stderr = sys.stderr or open(os.devnull, "w")  # noqa: PTH123, SIM115
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    command = typer.main.get_command(app)
    if catalog() is not ENGLISH:
        gettext.bindtextdomain(DOMAIN, str(LOCALE))
        gettext.textdomain(DOMAIN)
        in_language(command)
    try:
        code = command.main(args=arguments, prog_name="loomready", standalone_mode=False)
        sys.stdout.flush()
    except BadInput as error:
        return _refuse(error.line())
    except LoomreadyError as error:
        return _refuse(error.args[0])
    except BrokenPipeError:
        # The reader has gone (a pager closed): nothing more can be said, and nothing is wrong.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 130
    except MemoryError:
        return _refuse(phrase("this does not fit into memory; expected something smaller"))
    except OSError as error:
        return _refuse(joined(": ", (error.filename or phrase("file"), error.strerror or f"{error}")))
    except Exception as error:
        return _last_resort(error)
    return code if isinstance(code, int) else 0


def _last_resort(error: Exception) -> int:
    """Usage errors of the option parser, and what nobody foresaw: one line, never a traceback."""
    if hasattr(error, "format_message"):
        return _refuse(phrase("{usage_error} Try: loomready --help", usage_error=error.format_message()))
    if os.environ.get("LOOMREADY_TRACE"):
        raise error
    return _refuse(
        phrase(
            "an error in loomready itself: {name}: {error} (LOOMREADY_TRACE=1 shows where)",
            name=type(error).__name__,
            error=f"{error}",
        )
    )


def _refuse(line: str) -> int:
    tell(f"loomready: {' '.join(translated(line, catalog()).split())}")
    return 2
