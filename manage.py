#!/usr/bin/env python3
"""Runs one command of the site; development settings unless DJANGO_SETTINGS_MODULE says otherwise."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "portal.settings.development")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
