"""Entry point: `planner …` and `python -m planner …`."""

from __future__ import annotations

import gc
import os
import signal
import sys


def main() -> None:
    """Run the command line; every way out is an exit code, never a traceback."""
    # Start-up makes thousands of lasting objects and hardly any garbage: looking for some so often costs a
    # tenth of a plan.
    gc.set_threshold(100_000, 50, 50)
    # pydantic looks through everything installed for plugins, which takes as long as a plan; none is wanted
    # here.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "1")
    from planner.app.app import build
    from planner.app.common import reader, refuse
    from planner.quantities.errors import InputRefused

    first_word = next(iter(sys.argv[1:]), "")
    if hasattr(signal, "SIGPIPE") and first_word != "board":
        # The reader went away (`planner flight … | head`): end as other programs do, 141 in a shell; 1 would
        # read as "not inside". Not the board: there it is a browser that went away, and the board goes on.
        signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    try:
        try:
            build(first_word)(prog_name="planner")
        finally:
            sys.stdout.flush()  # here, so that a full disk is told
    except InputRefused as refused:
        sys.exit(refuse(refused, "--json" in sys.argv, reader(sys.argv)))
    except OSError as error:
        # A full disk, mostly: nothing was said about the flight, so neither 0 nor 1.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        said = f"the result could not be written: {error.strerror or error}"
        print(said, file=sys.stderr)  # noqa: T201 - as below
        sys.exit(2)
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)  # noqa: T201 - this is the command line itself
        sys.exit(130)
    except SystemExit as ended:
        # A plan leaves nothing to be tidied up, and taking every module apart takes longer than the plan.
        if first_word == "flight" and isinstance(ended.code, int):
            sys.stderr.flush()
            os._exit(ended.code)
        raise
    finally:
        gc.freeze()  # the interpreter looks for garbage once more as it ends: nothing left to look at


if __name__ == "__main__":
    main()
