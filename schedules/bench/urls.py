"""Addresses to compare with: the least a posted row can cost, and a visit written the plain way."""

from __future__ import annotations

from django.urls import path

from config.urls import urlpatterns as served
from schedules.bench.plain import bare, plain

urlpatterns = [path("bench/bare", bare), path("bench/plain", plain), *served]
"""``bench.wsgi`` alone serves these."""
