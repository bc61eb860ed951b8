"""The register in the admin, for managers: search, filters, what belongs together on one page."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.core.paginator import Paginator
from django.http import HttpRequest
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _
from simple_history.admin import SimpleHistoryAdmin

from fleet.forms import (
    AgreementForm,
    CookingForm,
    FeedForm,
    MachineForm,
    MachineFormSet,
    OperatingForm,
    SiteForm,
    WorkingWeekForm,
)
from fleet.models import (
    Agreement,
    Blocker,
    ClosedDay,
    CookingPeriod,
    DaysOff,
    ExhaustSystem,
    ExpectedCleaning,
    Fan,
    Feed,
    Machine,
    OperatingPeriod,
    Owner,
    Person,
    Site,
    SiteContact,
    SuppliedFan,
    WorkingWeek,
    technicians,
)

COUNTED_AT_MOST = 5_000


class CappedPaginator(Paginator):
    """Pages through the first rows of a table without counting all of it."""

    @cached_property
    def count(self) -> int:
        rows: Any = self.object_list
        return int(rows.values("pk")[:COUNTED_AT_MOST].count())


class ForManagers(admin.options.BaseModelAdmin):
    """Open to the company's managers and to administrators."""

    def _may(self, request: HttpRequest) -> bool:
        person = request.user
        manages = getattr(person, "role", "") == Person.Role.MANAGER
        return bool(person.is_active and (manages or getattr(person, "is_superuser", False)))

    def has_module_permission(self, request: HttpRequest) -> bool:
        return self._may(request)

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return self._may(request)

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return self._may(request)

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return self._may(request)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return self._may(request)


class RegisterAdmin(ForManagers, SimpleHistoryAdmin):
    """Lists that stay quick on big tables, and no delete of many at a stroke."""

    paginator = CappedPaginator
    show_full_result_count = False
    list_per_page = 50
    actions = None


class Inline(ForManagers, admin.TabularInline):
    """Rows that belong to the one above; none offered until asked for."""

    extra = 0


class AgreementInline(ForManagers, admin.StackedInline):
    """An owner's agreements."""

    model = Agreement
    form = AgreementForm
    extra = 0


class CookingInline(Inline):
    """Cooking classes over time."""

    model = CookingPeriod
    form = CookingForm


class OperatingInline(Inline):
    """Running hours over time."""

    model = OperatingPeriod
    form = OperatingForm


class ClosedDayInline(Inline):
    """Days without cooking."""

    model = ClosedDay


class ExpectedCleaningInline(Inline):
    """Announced cleanings."""

    model = ExpectedCleaning


class MachineInline(ForManagers, admin.StackedInline):
    """Machines at a fan's position over time."""

    model = Machine
    form = MachineForm
    formset = MachineFormSet
    extra = 0


class FeedInline(ForManagers, admin.StackedInline):
    """What feeds the fan over time."""

    model = Feed
    form = FeedForm
    extra = 0


class BlockerInline(ForManagers, admin.StackedInline):
    """What visits to a site wait for."""

    model = Blocker
    extra = 0
    fields = ("kind", "fan", "note", "since_on", "cleared_on")

    def formfield_for_foreignkey(self, db_field: Any, request: HttpRequest, **kwargs: Any) -> Any:
        """Fans of this site only."""
        if db_field.name == "fan":
            match = request.resolver_match
            site = match.kwargs.get("object_id") if match else None
            kwargs["queryset"] = Fan.objects.filter(site=site or 0)
        return super().formfield_for_foreignkey(db_field, request, **kwargs)


class SiteContactInline(ForManagers, admin.TabularInline):
    """Whom to call at a site."""

    model = SiteContact
    extra = 0


class SuppliedFanInline(ForManagers, admin.StackedInline):
    """Another machine that the owner supplies for this position."""

    model = SuppliedFan
    extra = 0


class WorkingWeekInline(ForManagers, admin.StackedInline):
    """Base and hours of a technician."""

    model = WorkingWeek
    form = WorkingWeekForm
    extra = 0


class DaysOffInline(Inline):
    """When a technician is away."""

    model = DaysOff


@admin.register(Owner)
class OwnerAdmin(RegisterAdmin):
    """Owners with their agreements."""

    list_display = ("name", "email", "phone")
    search_fields = ("name", "email")
    inlines = (AgreementInline,)


@admin.register(Site)
class SiteAdmin(RegisterAdmin):
    """Sites of all owners."""

    form = SiteForm
    list_display = ("name", "owner", "address", "time_zone", "surroundings")
    list_filter = ("surroundings", "time_zone")
    list_select_related = ("owner",)
    search_fields = ("name", "address", "owner__name")
    autocomplete_fields = ("owner",)
    inlines = (SiteContactInline, BlockerInline)


@admin.register(ExhaustSystem)
class ExhaustSystemAdmin(RegisterAdmin):
    """Exhaust systems with cooking, hours and cleanings."""

    list_display = ("name", "site", "cleaning_crew")
    list_select_related = ("site",)
    search_fields = ("name", "site__name", "site__owner__name")
    autocomplete_fields = ("site",)
    inlines = (CookingInline, OperatingInline, ClosedDayInline, ExpectedCleaningInline)


@admin.register(Fan)
class FanAdmin(RegisterAdmin):
    """Fans with their machines and feeds."""

    list_display = ("tag", "site", "system_name", "place", "entered_on")
    list_filter = ("site__surroundings", "entered_on")
    list_select_related = ("site", "system")
    search_fields = ("tag", "site__name", "site__owner__name", "machines__serial")
    autocomplete_fields = ("site", "system")
    inlines = (MachineInline, FeedInline, SuppliedFanInline)

    def get_form(
        self, request: HttpRequest, obj: Any = None, change: bool = False, **kwargs: Any
    ) -> Any:
        labels = {"onboarding_on": _("First visit by")}
        helps = {
            "onboarding_on": _(
                "The day given when the fan came in. It moves nothing any more once somebody "
                "has checked the fan."
            )
        }
        return super().get_form(request, obj, change, labels=labels, help_texts=helps, **kwargs)

    @admin.display(description=_("system"))
    def system_name(self, fan: Fan) -> str:
        return fan.system.name


@admin.register(DaysOff)
class DaysOffAdmin(RegisterAdmin):
    """Leave and public holidays: one row for a technician, or for everybody."""

    list_display = ("first_on", "last_on", "who", "reason")
    list_filter = ("first_on",)
    list_select_related = ("technician",)

    @admin.display(description=_("technician"))
    def who(self, off: DaysOff) -> str:
        return off.technician.called if off.technician else str(_("everybody"))

    def formfield_for_foreignkey(self, db_field: Any, request: HttpRequest, **kwargs: Any) -> Any:
        """Technicians alone; none of them means all."""
        if db_field.name == "technician":
            kwargs["queryset"] = technicians()
            kwargs["empty_label"] = _("everybody")
        return super().formfield_for_foreignkey(db_field, request, **kwargs)


@admin.register(Person)
class PersonAdmin(ForManagers, UserAdmin):
    """People, what they may do and what they are qualified for."""

    list_display = ("username", "first_name", "last_name", "role", "owner", "is_active")
    list_filter = ("role", "is_active", "qualified_code_inspection", "qualified_energised_work")
    list_select_related = ("owner",)
    autocomplete_fields = ("owner",)
    filter_horizontal = ()
    fieldsets = (
        (None, {"fields": ("username", "password", "is_active")}),
        (_("Who"), {"fields": ("first_name", "last_name", "email", "language")}),
        (_("Role"), {"fields": ("role", "owner")}),
        (
            _("Qualified for"),
            {"fields": ("qualified_code_inspection", "qualified_energised_work", "qualified_lift")},
        ),
    )
    add_fieldsets = (
        (
            None,
            {"fields": ("username", "usable_password", "password1", "password2", "role", "owner")},
        ),
    )

    def get_inlines(self, request: HttpRequest, obj: Person | None = None) -> Any:
        """Only technicians are sent out."""
        climbs = obj is not None and obj.role == Person.Role.TECHNICIAN
        return (WorkingWeekInline, DaysOffInline) if climbs else ()

    def save_model(self, request: HttpRequest, obj: Person, form: Any, change: bool) -> None:
        """Managers get in here, nobody else by role."""
        obj.is_staff = obj.is_superuser or obj.role == Person.Role.MANAGER
        super().save_model(request, obj, form, change)

    def has_change_permission(self, request: HttpRequest, obj: Person | None = None) -> bool:
        """An administrator's login is changed by administrators only."""
        guarded = obj is not None and obj.is_superuser and not request.user.is_superuser
        return super().has_change_permission(request, obj) and not guarded

    def has_delete_permission(self, request: HttpRequest, obj: Person | None = None) -> bool:
        return super().has_delete_permission(request, obj) and self.has_change_permission(
            request, obj
        )
