"""Write every page that is made from the code: one command after a change."""

from __future__ import annotations

import sys

import write_checks
import write_commands
import write_job_file
import write_messages
import write_schema
import write_sources
import write_validation

if __name__ == "__main__":
    for page in (write_messages, write_commands, write_sources, write_job_file):
        page.PAGE.parent.mkdir(parents=True, exist_ok=True)
        page.PAGE.write_text(page.render(), encoding="utf-8")
        print(page.PAGE.name)
    write_schema.main()
    write_checks.main()
    sys.exit(write_validation.main())
