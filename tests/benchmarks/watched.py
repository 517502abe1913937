"""Run the command line in this process and tell its peak memory on the last line of stderr."""

import atexit
import resource
import sys

from wirebloom.cli.main import main


def tell_peak() -> None:
    sys.stderr.write(f"\npeak_kB {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss}\n")


if __name__ == "__main__":
    atexit.register(tell_peak)
    sys.argv[0] = "wirebloom"
    sys.exit(main())
