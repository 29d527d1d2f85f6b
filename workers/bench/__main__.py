"""What is done on a database of the measurement, in a process of its own: ``python -m workers.bench scene``."""

import sys

import django
import orjson


def main() -> None:
    """Do it, and tell as JSON what came of it."""
    django.setup()
    from workers.bench import history, scene

    done = {"scene": scene.lay_out, "history": history.grow}[sys.argv[1]](*sys.argv[2:])
    sys.stdout.buffer.write(orjson.dumps(done))


if __name__ == "__main__":
    main()
