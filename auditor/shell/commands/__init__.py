"""One module per command: `SUMMARY`, `arguments(parser)` and `run(options) -> exit code`.

The command line loads the module of the command that was asked for and no other, so that a start stays cheap.
"""
