"""The entry of the folder build: processes of its own start here too."""

import multiprocessing

multiprocessing.freeze_support()

from ui.command.main import run  # noqa: E402  # only the first process gets as far as this

run()
