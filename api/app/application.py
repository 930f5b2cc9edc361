"""The app factory."""

from fastapi import FastAPI

from api.answering import question_route
from api.answering.catalog_resolver import ReadCatalogs
from api.answering.response_cache import ResponseCache
from api.answering.steady_answers import SteadyAnswers
from api.app.address_index import AddressIndex, router_paths
from api.app.job_runner import JobRunner, job_life
from api.cells import cell_files as sheet_functions
from api.contract.document import openapi_of
from api.endpoints import (
    assumptions,
    batch,
    camp_work,
    catalog_tools,
    catalog_trials,
    catalogs,
    designs,
    kit_pictures,
    methods,
    tools,
    trials,
    woods,
)
from api.endpoints import health as service
from api.filling import filled_file
from api.http.problem_details import add_handlers
from api.middleware.body_gate import Gate
from api.middleware.cell_errors import CellErrors
from api.middleware.cross_origin import CrossOrigin
from api.middleware.hang_up import HangUp
from api.middleware.key_rate import KeyRateLimit, KeyRates
from api.middleware.last_resort import LastResort
from api.middleware.own_name import OwnName
from api.middleware.packed_lists import PackedLists
from api.middleware.rate_limit import Rate, RateLimit
from api.middleware.request_log import RequestLog
from api.middleware.safe_headers import SafeHeaders
from api.owned import catalog_shares, changes, jobs
from api.settings.metrics import Metrics
from api.settings.settings import Settings
from api.sheet import kit_csv as sheet_kit
from api.sheet import trip_table as sheet_trips
from api.sheet import value as sheet_value
from api.sheet import value_list as sheet_values
from api.sheet.answers import Answers
from api.solving.bounded_memory import Memory
from api.solving.solve_queue import Solves
from api.store.database import Store
from api.web import bench_files, docs_page, guide_pages, guide_tables, plain_page
from api.web import embed_files as embed
from api.web import page_files as page
from api.workbook import workbook_file as sheet_book
from api.workshop import workshop_files

_BUILT_IN = (tools, methods, woods, camp_work, assumptions)
_SHEET = (sheet_value, sheet_values, sheet_kit, sheet_trips, filled_file, sheet_book, sheet_functions)
_STORED = (catalogs, catalog_tools, catalog_trials)
_OWNED = (catalog_shares, jobs, changes)
_PARTS = (
    question_route,
    kit_pictures,
    batch,
    designs,
    workshop_files,
    trials,
    *_STORED,
    *_OWNED,
    *_BUILT_IN,
    *_SHEET,
    service,
    embed,
    guide_tables,
    guide_pages,
    bench_files,
    docs_page,
    plain_page,
    page,
)
_VERSION = "1.0.0"
_DESCRIPTION = (
    "Send a trip and a tool catalog; receive the provably lightest kit of wood-cutting tools. Lengths "
    "are in millimetres, masses in grams, times in minutes. Every failure is problem+json."
)


def create_app(settings: Settings | None = None) -> FastAPI:
    """Return the service, by the settings given or those of the environment."""
    settings = settings or Settings()
    app = FastAPI(
        title="Kitwright",
        version=_VERSION,
        description=_DESCRIPTION,
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
        contact={"name": "The operator of this service"},
        license_info={"name": "MIT", "identifier": "MIT"},
        generate_unique_id_function=lambda route: route.name,
        lifespan=job_life,
    )
    app.state.settings = settings
    app.state.rate = Rate(settings)
    app.state.metrics = Metrics()
    app.state.solves = Solves(settings, app.state.metrics)
    app.state.memory = Memory(most_bytes=settings.memory_bytes)
    app.state.sheet_answers = Answers(app.state.solves, app.state.memory)
    app.state.store = Store(settings)
    app.state.key_rates = KeyRates(app.state.store)
    job_solves = Solves(settings.of_jobs(), app.state.metrics, of_jobs=True)
    app.state.job_runner = JobRunner(app, settings, store=app.state.store, solves=job_solves, metrics=app.state.metrics)
    app.state.jobs_made = app.state.job_runner.wake
    app.state.read_catalogs = ReadCatalogs(most_tools=settings.cached_tools)
    add_handlers(app)
    known = [(route, router_paths(app.router)) for route in app.routes]  # of the contract
    for part in _PARTS:
        app.include_router(part.router)
        known.append((app.routes[-1], router_paths(part.router)))
    app.router.routes.insert(0, index := AddressIndex(known, app_routes=app.router.routes))
    app.state.takes = index.takes
    app.add_middleware(PackedLists)
    app.add_middleware(SteadyAnswers, memory=app.state.memory)
    app.add_middleware(LastResort)
    app.add_middleware(ResponseCache, memory=app.state.memory, metrics=app.state.metrics)
    app.add_middleware(
        Gate,
        max_body_bytes=settings.max_body_bytes,
        most_held_bytes=settings.most_held_bytes,
        patience_s=settings.patience_seconds,
    )
    app.add_middleware(KeyRateLimit, rates=app.state.key_rates)
    app.add_middleware(RateLimit, rate=app.state.rate)
    app.add_middleware(CrossOrigin, origins=settings.cors_origins)
    app.add_middleware(CellErrors)
    app.add_middleware(OwnName)
    app.add_middleware(HangUp)
    app.add_middleware(SafeHeaders)
    app.add_middleware(RequestLog, metrics=app.state.metrics)
    app.openapi = lambda: openapi_of(app)  # type: ignore[method-assign]  # FastAPI's documented way
    return app
