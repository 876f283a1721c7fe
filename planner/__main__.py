"""Entry point: `planner …` and `python -m planner …`."""

from __future__ import annotations

import gc
import os
import sys


def main() -> None:
    """Run the command line; every way out is an exit code, never a traceback."""
    # Start-up makes thousands of lasting objects and hardly any garbage: looking for some so often costs a tenth of a plan.
    gc.set_threshold(100_000, 50, 50)
    from planner.cli.app import build
    from planner.cli.common import refuse
    from planner.errors import InputRefused

    try:
        build(next(iter(sys.argv[1:]), ""))(prog_name="planner")
    except InputRefused as refused:
        sys.exit(refuse(refused, "--json" in sys.argv))
    except BrokenPipeError:
        # The reader went away (`planner flight … | head`): not an error worth a word.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)  # noqa: T201 - this is the command line itself
        sys.exit(130)
    finally:
        gc.freeze()  # the interpreter looks for garbage once more as it ends: nothing left to look at


if __name__ == "__main__":
    main()
