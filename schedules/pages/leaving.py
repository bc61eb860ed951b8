"""Where a digest is left and come back to: no sign-in, no cookie, no way round (RFC 8058)."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from config.languages import spoken
from schedules.models import Subscription
from schedules.notices.leaving import come_back, find_subscription, leave
from schedules.wording.leaving import leaving_text

UNTRACED = {"Referrer-Policy": "no-referrer", "X-Robots-Tag": "noindex"}


# RFC 8058, 3.2: the POST comes without cookies and thus without a CSRF token; the words in the
# address are what gives the right.
@csrf_exempt
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def leave_page(request: HttpRequest, token: str) -> HttpResponse:
    """Looking changes nothing; ``List-Unsubscribe=One-Click`` leaves, ``come=back`` comes back."""
    subscription = find_subscription(token)
    if subscription is None:
        raise Http404
    owner = subscription.owner
    language = owner.language if owner else settings.LANGUAGE_CODE
    return spoken(lambda asked: _answer(asked, subscription), request, language)


def _answer(request: HttpRequest, subscription: Subscription) -> HttpResponse:
    status = 200
    if request.method == "POST":
        if request.POST.get("List-Unsubscribe") == "One-Click":
            leave(subscription=subscription, now=timezone.now())
        elif request.POST.get("come") == "back":
            come_back(subscription=subscription)
        else:
            status = 400
        subscription.refresh_from_db()
    context = {
        "has_left": subscription.left_at is not None,
        "told": leaving_text(subscription),
        "is_wrong": status == 400,
    }
    answer = render(request, "schedules/leave.html", context, status=status)
    for name, value in UNTRACED.items():
        answer.headers[name] = value
    return answer
