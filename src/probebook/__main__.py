"""``python -m probebook`` is the command line."""

from probebook import stopping


def main() -> None:
    """Run the command line; Ctrl-C counts from here on, before its libraries are loaded."""
    stopping.listen()
    try:
        from probebook.cli import main as run
    except BaseException:
        if stopping.was_asked():
            stopping.end()
        raise
    run()


if __name__ == "__main__":
    main()
