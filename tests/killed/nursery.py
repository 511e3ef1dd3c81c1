"""Processes that serve a home, or back it up, to be killed.

They are forked from this one, which has imported everything: a start of Python takes longer than
what is done until the kill. Told on standard input, one JSON list a line:
["serve", home, port] and ["back_up", home, folder] answer with the process's id;
["listen"] answers with a port, where each ["share", port, home, url] has one more process serve;
["shut", port] turns away whoever waits there;
["await", id] answers with how it ended, as os.waitpid has it.
"""

from __future__ import annotations

import json
import os
import socket
import sys
import traceback
from collections.abc import Callable
from pathlib import Path

import uvicorn
from pydantic import SecretStr

from brief.api.app import create_app
from brief.settings import Settings
from brief.store.backup import back_up


def _serve(home: str, port: int) -> None:
    app = create_app(Settings(home=Path(home)))
    uvicorn.run(app, host="127.0.0.1", port=port, log_level="critical")


def _share(one: socket.socket, home: str, url: str) -> None:
    app = create_app(Settings(home=Path(home), database_url=SecretStr(url)))
    uvicorn.Server(uvicorn.Config(app, log_level="critical")).run(sockets=[one])


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
    listening: dict[int, socket.socket] = {}
    for line in sys.stdin:
        kind, *told = json.loads(line)
        match kind:
            case "serve":
                answer = _in_a_child(_serve, told)
            case "listen":
                one = socket.create_server(("127.0.0.1", 0), backlog=64)
                answer = int(one.getsockname()[1])
                listening[answer] = one
            case "share":
                answer = _in_a_child(_share, [listening[told[0]], *told[1:]])
            case "shut":
                listening.pop(told[0]).close()
                answer = 0
            case "back_up":
                answer = _in_a_child(_back_up, told)
            case _:
                _, answer = os.waitpid(told[0], 0)
        print(answer, flush=True)


if __name__ == "__main__":
    main()
