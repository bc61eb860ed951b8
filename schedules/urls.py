"""Pages of the schedules app."""

from schedules.pages import urls as pages

urlpatterns = [*pages.urlpatterns]
