"""Why the demo stops."""


class DemoStopped(RuntimeError):
    """The demo cannot go on; the text says why and what to do."""
