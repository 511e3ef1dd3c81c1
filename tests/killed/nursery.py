"""Processes that serve a home, or back it up, to be killed.

They are forked from this one, which has imported everything: a start of Python takes longer than
what is done until the kill. Told on standard input, one JSON list a line:
["serve", home, port] and ["back_up", home, folder] answer with the process's id;
["await", id] answers with how it ended, as os.waitpid has it.
"""

from __future__ import annotations

import json
import os
import sys
import traceback
from collections.abc import Callable
from pathlib import Path

import uvicorn

from brief.api.app import create_app
from brief.settings import Settings
from brief.store.backup import back_up


def _serve(home: str, port: int) -> None:
    app = create_app(Settings(home=Path(home)))
    uvicorn.run(app, host="127.0.0.1", port=port, log_level="critical")


def _back_up(home: str, folder: str) -> None:
    back_up(Path(home), Path(folder))


def _in_a_child(work: Callable[..., None], told: list[object]) -> int:
    child = os.fork()
    if child:
        return child
    try:
        work(*told)
    except BaseException:
        traceback.print_exc()
        os._exit(1)
    os._exit(0)


def main() -> None:
    # What only the first request would import.
    create_app(Settings(home=Path(sys.argv[1]))).openapi()
    print("ready", flush=True)
    for line in sys.stdin:
        kind, *told = json.loads(line)
        match kind:
            case "serve":
                answer = _in_a_child(_serve, told)
            case "back_up":
                answer = _in_a_child(_back_up, told)
            case _:
                _, answer = os.waitpid(told[0], 0)
        print(answer, flush=True)


if __name__ == "__main__":
    main()
