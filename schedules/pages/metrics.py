"""Figures for a Prometheus collector, read from the tables when asked: any process answers alike.

Counts and durations of requests are left out: each process would know only its own, and the next
answer may come from another; the balancer or proxy in front counts them all.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from hmac import compare_digest

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe
from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, generate_latest
from prometheus_client.core import GaugeMetricFamily, Metric
from prometheus_client.registry import Collector

from schedules.jobs.status import Status, read_status


@login_not_required
@never_cache
@require_safe
def metrics(request: HttpRequest) -> HttpResponse:
    """404 without METRICS_TOKEN, 401 without it in ``Authorization: Bearer``, else the figures."""
    if not settings.METRICS_TOKEN:
        raise Http404
    told = request.headers.get("Authorization", "")
    if not compare_digest(told.encode(), f"Bearer {settings.METRICS_TOKEN}".encode()):
        refused = {"WWW-Authenticate": 'Bearer realm="metrics"'}
        return HttpResponse("Send the token.\n", "text/plain", status=401, headers=refused)
    registry = CollectorRegistry(auto_describe=False)
    registry.register(_Figures(timezone.now()))
    return HttpResponse(generate_latest(registry), CONTENT_TYPE_LATEST)


class _Figures(Collector):
    def __init__(self, now: datetime) -> None:
        self.now = now

    def collect(self) -> Iterator[Metric]:
        status = read_status(self.now)
        yield from _plain(status, self.now)
        yield from _by_entry(status)


def _plain(status: Status, now: datetime) -> Iterator[Metric]:
    oldest = status.oldest_stale
    since = oldest.touched_at if oldest else None
    last = status.last_reckoning
    figures = {
        "last_reckoning_timestamp_seconds": (
            "When dates were last brought up to date.", last.timestamp() if last else 0.0,
        ),
        "stale_fans": ("Fans touched and not reckoned since.", status.stale_fans),
        "oldest_stale_fan_age_seconds": (
            "How long the fan waits that waits longest to be reckoned.",
            (now - since).total_seconds() if since else 0.0,
        ),
        "unreadable_fans": ("Fans whose record could not be reckoned.", status.unreadable_fans),
        "notices_owed": ("Notices written and not sent yet.", status.notices_owed),
        "notices_failed": ("Notices given up.", status.notices_failed),
        "parked_jobs": ("Jobs not tried any more until let go.", status.parked_count),
    }  # fmt: skip
    for name, (words, value) in figures.items():
        yield GaugeMetricFamily(f"roofround_{name}", words, value=value)


def _by_entry(status: Status) -> Iterator[Metric]:
    told = (
        ("job_last_begun_timestamp_seconds", "When its latest turn began."),
        ("job_last_ended_timestamp_seconds", "When its latest turn ended."),
        ("job_last_count", "What its latest turn came to."),
        ("job_tries", "Tries since it last went well."),
        ("job_late", "1 where nobody took its turn up in time."),
    )
    families = [
        GaugeMetricFamily(f"roofround_{name}", words, labels=["job"]) for name, words in told
    ]
    for line in status.entries:
        job = line.job
        moments = (at.timestamp() if at else 0.0 for at in (job.begun_at, job.ended_at))
        values = (*moments, job.count, job.tries, line.is_late)
        for family, value in zip(families, values, strict=True):
            family.add_metric([line.entry.name], float(value))
    yield from families
