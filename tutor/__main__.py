"""`python -m tutor` is the command `quiescent`."""

from tutor.cli import main

main()
