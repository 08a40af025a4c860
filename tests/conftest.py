"""What all tests need of the process they run in."""

from __future__ import annotations

import signal

# Where tests are run in the background, Ctrl-C is ignored, and so it would be by all they start.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)
