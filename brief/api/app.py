"""The app, put together from its settings."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import partial

from anyio import Lock as Turn
from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles

import brief
from brief.api import (
    attachments,
    beginnings,
    bench_file,
    bundles,
    calendar_links,
    colours,
    comment_files,
    cost,
    docs,
    drawings,
    exchange,
    faces,
    first_verdicts,
    guests,
    handing_in,
    health,
    images,
    inlays,
    joint,
    lending,
    makers,
    materials,
    movement,
    news,
    numbers,
    offcuts,
    pages,
    pairing_pages,
    pairings,
    parcels,
    parts,
    passports,
    phone,
    photographs,
    pictures,
    printing,
    problems,
    references,
    revisions,
    run_up,
    schemes,
    session,
    shares,
    stocks,
    studio,
    today,
    tracings,
    trips,
    watch,
)
from brief.api.guards import Guards
from brief.api.head_and_gzip import Gzipped, Heads
from brief.api.house import House
from brief.api.limits import RateLimits
from brief.api.lines import WaitingLine
from brief.api.lock import Lock
from brief.api.metrics import Metrics
from brief.api.nouns import noun_router
from brief.api.openapi import DescribedFastAPI, operation_id
from brief.api.templates import Pages
from brief.places import web_folder
from brief.services import nouns
from brief.services.makers.register import is_shared
from brief.services.studio.afar import sitter
from brief.services.studio.room import Room
from brief.services.studio.studio import Studio
from brief.settings import Settings
from brief.store.desk import Store
from brief.store.workshops import HomePlace


def create_app(settings: Settings) -> FastAPI:
    """Open the store at `settings.home`, sweep it, and serve it: the API under /api, and the pages.

    Raises StoreError if the store cannot be opened.
    """
    store = Store(settings.home, settings.url, settings.bucket)
    store.sweep()
    with store.desk() as desk:
        shared = is_shared(desk)
    if shared:
        settings = settings.model_copy(update={"locked": True})

    @asynccontextmanager
    async def lifespan(_app: FastAPI) -> AsyncIterator[None]:
        yield
        if app.state.house is not None:
            app.state.house.close()
        app.state.studio.close()
        store.close()

    app = DescribedFastAPI(
        title="The Luthier's Brief",
        version=brief.__version__,
        summary="Design briefs for one-off acoustic instruments",
        openapi_url="/api/openapi.json",
        docs_url=None,  # they load scripts from elsewhere; brief.api.docs needs none
        redoc_url=None,
        generate_unique_id_function=operation_id,
        lifespan=lifespan,
    )
    app.state.store = store
    app.state.settings = settings
    place = HomePlace(settings.home, settings.url, settings.bucket)
    sit = sitter(settings.scheduler)
    studio_of = partial(Studio, sit=sit, room=Room())
    app.state.house = House(place, lambda: app.state.store, studio_of) if shared else None
    app.state.studio = studio_of(lambda: app.state.store)
    app.state.limits = RateLimits(slate=lambda: app.state.store.slate)
    app.state.writing_turn = Turn()
    # Two passphrases are checked at once, one of them in a browser that signed in before.
    app.state.sign_in_lines = {known: WaitingLine() for known in (True, False)}
    app.state.pages = Pages(web_folder() / "templates", locked=settings.locked)
    app.add_middleware(Gzipped)
    if settings.locked:
        app.add_middleware(Lock)
    app.add_middleware(Guards, hosts=settings.hosts, tls_only=settings.tls_only)
    app.state.metrics = Metrics() if settings.metrics else None
    if settings.log or settings.metrics:
        app.add_middleware(watch.Watch, logged=settings.log == "json", metrics=app.state.metrics)
    app.add_middleware(Heads)
    problems.install(app)
    own_routers = {
        nouns.references: references.router,
        nouns.materials: materials.router,
        nouns.photographs: photographs.router,
        nouns.inlays: inlays.router,
        nouns.stocks: stocks.router,
        nouns.pairings: pairings.router,
        nouns.parts: parts.router,
        nouns.tracings: tracings.router,
        nouns.attachments: attachments.router,
        nouns.revisions: revisions.router,
        nouns.shares: shares.router,
        nouns.calendar_links: calendar_links.router,
    }
    for noun in nouns.NOUNS:
        app.include_router(own_routers.get(noun) or noun_router(noun))
    for module in (
        numbers,
        movement,
        run_up,
        today,
        trips,
        cost,
        passports,
        beginnings,
        drawings,
        bench_file,
        pictures,
        printing,
        offcuts,
        exchange,
        first_verdicts,
        parcels,
        comment_files,
        news,
        colours,
        schemes,
        studio,
        images,
        guests,
    ):
        app.include_router(module.router)
    app.include_router(guests.mail_router)
    app.include_router(calendar_links.opened)
    for module in (session, health, watch, docs, phone, pages, pairing_pages, bundles, faces):
        app.include_router(module.router)
    app.include_router(studio.page_router)
    if shared:
        for module in (makers, joint, lending, handing_in):
            app.include_router(module.router)
        app.include_router(makers.page_router)
        app.include_router(lending.page_router)
    app.mount("/static", StaticFiles(directory=web_folder() / "static"), name="static")
    return app
