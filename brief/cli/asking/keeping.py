"""What keeps everything: copies, another database, looking it through; and what others have."""

from __future__ import annotations

import argparse
from pathlib import Path

from brief.cli.asking.arguments import add_home, add_json, folder, number_if_it_is_one
from brief.errors import InputError


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add these commands: backup, restore, carry, check, stock."""
    backup = commands.add_parser(
        "backup",
        help="copy everything there is into a folder",
        description="Copy everything there is into a folder. Ends with 0 if all of it is sound, 1 "
        "if something in it is missing or damaged, 2 if no copy was made.",
    )
    backup.set_defaults(run=_backup)
    backup.add_argument("folder", metavar="FOLDER", type=folder, help="new, or an earlier backup")
    add_home(backup)
    add_json(backup)

    restore = commands.add_parser("restore", help="put a backup back, where there is nothing yet")
    restore.set_defaults(run=_restore)
    restore.add_argument("folder", metavar="FOLDER", type=folder, help="what `brief backup` wrote")
    restore.add_argument(
        "--copy",
        metavar="DAY-AND-TIME",
        help="an earlier copy in it, such as 2027-05-14T09-30-15Z (otherwise the newest)",
    )
    add_home(restore)
    add_json(restore)

    carry = commands.add_parser(
        "carry",
        help="carry everything to a database server or a bucket, or from it into a folder",
        description="Carry all records to an empty database on a PostgreSQL server, or all "
        "pictures to a bucket on an S3 server, or everything from there into a new folder, and "
        "prove that all of it arrived. Nothing is taken away where it comes from.",
    )
    carry.set_defaults(run=_carry)
    carry.add_argument(
        "place",
        metavar="URL-OR-FOLDER",
        help="postgresql+psycopg://USER@HOST/DATABASE, s3://BUCKET/FOLDER, or a new folder; a "
        "password is better in ~/.pgpass or PGPASSWORD than here, the key to a bucket in "
        "AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY",
    )
    add_home(carry)
    add_json(carry)

    check = commands.add_parser(
        "check",
        help="look for anything missing or damaged",
        description="Look through the database and every picture. Ends with 0 if all is well, 1 "
        "if something is wrong, 2 if it could not be looked at.",
    )
    check.set_defaults(run=_check)
    check.add_argument(
        "--repair", action="store_true", help="mend what can be mended; otherwise nothing changes"
    )
    check.add_argument(
        "--from",
        metavar="BACKUP",
        dest="source",
        type=folder,
        help="with --repair: put missing and damaged pictures back from there",
    )
    add_home(check)
    add_json(check)
    _add_stock(commands)


def _add_stock(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    stock = commands.add_parser(
        "stock",
        help="measure a merchant’s photographs of boards, or read a measured table, to look in",
        description="Measure all photographs in a folder and keep what was found as a stock: "
        "colour, figure and grain of each board, with a small picture. Or read a table of boards "
        "that somebody measured: CSV or Parquet with columns L, a and b (CIELAB, D65 and 2° unless "
        "a column “light” says D50/2 or such), uncertainty, and those that --table takes; or CGATS "
        "text. Say the same again to go on after a stop, or to add what is new. Ends with 0 if "
        "every file or row was kept, 1 if some could not be, each named with its reason.",
    )
    stock.set_defaults(run=_stock)
    stock.add_argument(
        "what",
        metavar="FOLDER-OR-TABLE",
        type=_folder_or_address,
        help="of the photographs, or the measured table; or https://… of a zip of photographs, or "
        "of a CSV table whose column “file” has their addresses",
    )
    stock.add_argument("--name", metavar="NAME", required=True, help="of the stock, new or not")
    stock.add_argument("--source", metavar="TEXT", help="whose it is, and how to reach them")
    stock.add_argument(
        "--kind", metavar="KIND", dest="stuff", help="of material: timber, shell … (timber)"
    )
    stock.add_argument(
        "--table",
        metavar="FILE.csv",
        type=Path,
        help="what the merchant says of each: file, label, species, length, width, thickness, "
        "price, currency; other columns are kept as they are",
    )
    stock.add_argument(
        "--currency", metavar="CODE", default="EUR", help="of prices that name none (EUR)"
    )
    stock.add_argument(
        "--keep-photographs",
        dest="keep",
        action="store_true",
        help="keep each photograph itself, not only a small one",
    )
    stock.add_argument(
        "--processes",
        metavar="N",
        type=number_if_it_is_one,
        help="that measure at once, 1 to 64 (as many as there are cores)",
    )
    stock.add_argument(
        "--scheduler",
        metavar="tls://HOST:PORT",
        help="have the workers of a Dask cluster measure (otherwise BRIEF_SCHEDULER, or processes "
        "of this computer); certificates are where Dask’s own configuration says",
    )
    add_home(stock)
    add_json(stock)


def _folder_or_address(text: str) -> Path | str:
    """An address stays as it was typed."""
    return text if "://" in text else folder(text)


def _backup(asked: argparse.Namespace) -> int:
    from brief.cli.commands.keeping.backup import back_up_home

    return back_up_home(asked.home, asked.folder, as_json=asked.json)


def _restore(asked: argparse.Namespace) -> int:
    from brief.cli.commands.keeping.backup import restore_home

    restore_home(asked.home, asked.folder, asked.copy, as_json=asked.json)
    return 0


def _carry(asked: argparse.Namespace) -> int:
    from brief.cli.commands.keeping.carry import carry_home

    return carry_home(asked.home, asked.place, as_json=asked.json)


def _stock(asked: argparse.Namespace) -> int:
    from brief.cli.commands.keeping.stock import StockAsked, fill_stock
    from brief.cli.commands.keeping.stock_address import fetch_stock
    from brief.cli.commands.keeping.stock_table import keep_stock_table

    wanted = StockAsked(
        asked.name,
        asked.source,
        asked.stuff,
        asked.table,
        asked.currency,
        asked.processes,
        asked.scheduler,
        keep=asked.keep,
    )
    if isinstance(asked.what, str):
        return fetch_stock(asked.home, asked.what, wanted, as_json=asked.json)
    do = keep_stock_table if asked.what.is_file() else fill_stock
    return do(asked.home, asked.what, wanted, as_json=asked.json)


def _check(asked: argparse.Namespace) -> int:
    from brief.cli.commands.keeping.check import check_home

    if asked.source is not None and not asked.repair:
        raise InputError("--from says where --repair takes pictures from; add --repair")
    return check_home(asked.home, asked.source, repair=asked.repair, as_json=asked.json)
