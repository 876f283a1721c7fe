"""Entry point: `planner …` and `python -m planner …`."""

from __future__ import annotations

import gc
import os
import signal
import sys
from types import ModuleType
from typing import Any


class _NoPlugins(ModuleType):
    """In the place of pydantic's own, which imports half of the mail library to say that there are none."""

    def __getattr__(self, name: str) -> Any:
        """Whatever a version of pydantic asks it for finds nothing."""
        if name.startswith("__"):
            raise AttributeError(name)
        return tuple


def main() -> None:
    """Run the command line; every way out is an exit code, never a traceback."""
    # Start-up makes thousands of lasting objects and hardly any garbage: looking for some so often costs a
    # tenth of a plan.
    gc.set_threshold(100_000, 50, 50)
    # pydantic looks through everything installed for plugins, which takes as long as a plan; none is wanted
    # here.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "1")
    sys.modules.setdefault("pydantic.plugin._loader", _NoPlugins("pydantic.plugin._loader"))
    first_word = next(iter(sys.argv[1:]), "")
    quick = first_word in ("flight", "--help", "")  # they have one thread, and leave nothing to be tidied up
    if quick:
        from planner.app.sooner import put_off

        put_off(yaml=first_word == "flight")
    from planner.app.streams import prepare

    prepare()
    from planner.app.app import build
    from planner.app.common import reader, refuse
    from planner.quantities.errors import InputRefused, shortened, visible
    from planner.quantities.files import on_disk, refused

    on_disk.clear()

    def end(code: int, said: str) -> None:
        """Say how it ended, and what this run has changed on the disk before."""
        done = f"; on the disk: {', '.join(on_disk)}" if on_disk else ""
        print(visible(f"{shortened(said)}{done}"), file=sys.stderr)  # noqa: T201 - this is the command line itself
        sys.exit(code)

    def give_up(refusal: InputRefused) -> None:
        """Tell what was refused: where the result goes, or where messages go if nobody takes it."""
        try:
            code = refuse(refusal, "--json" in sys.argv, reader(sys.argv))
            sys.stdout.flush()
        except OSError:
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
            code = refuse(refusal, False, reader(sys.argv))
        if on_disk:
            end(code, "before that")
        sys.exit(code)

    if hasattr(signal, "SIGPIPE"):
        # The reader went away (`planner flight … | head`): end as other programs do, 141 in a shell; 1 would
        # read as "not inside".
        signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    try:
        try:
            build(first_word)(prog_name="planner")
        finally:
            sys.stdout.flush()  # here, so that a full disk is told
    except InputRefused as refusal:
        give_up(refusal)
    except OSError as error:
        if error.filename:
            message = f"cannot be used: {error.strerror or error}"
            give_up(refused(str(error.filename), "file-unreadable", message, "needed a name the disk takes"))
        # A full disk, mostly: nothing was said about the flight, so neither 0 nor 1.
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        end(2, f"the result could not be written: {error.strerror or error}")
    except (KeyboardInterrupt, EOFError):
        end(130, "stopped")
    except (MemoryError, RecursionError):
        end(2, "the input is too much for this computer's memory; nothing was computed")
    except SystemExit as ended:
        # Taking every module apart takes long.
        if quick and isinstance(ended.code, int):
            sys.stderr.flush()
            os._exit(ended.code)
        raise
    except Exception as error:  # noqa: BLE001 - the last word, so that a fault is never taken for a verdict
        from traceback import extract_tb

        place = extract_tb(error.__traceback__)[-1]
        where = f"{type(error).__name__} at {place.filename}:{place.lineno}"
        end(3, f"a fault of this program, not of your input: {error} ({where}); trust nothing it said")
    finally:
        gc.freeze()  # the interpreter looks for garbage once more as it ends: nothing left to look at


if __name__ == "__main__":
    main()
