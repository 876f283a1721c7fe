"""Write docs/validation.md: `python -m planner.report.validation_page > docs/validation.md`."""

import sys

from planner.report.verify_text import validation_page
from planner.verify_cases import run_cases

if __name__ == "__main__":
    sys.stdout.write(validation_page(run_cases()))
