from django.urls import path
from rest_framework.routers import SimpleRouter

from inspections.api import (
    calendars,
    cautioned,
    due_works,
    exchange,
    field,
    forecasts,
    hand_overs,
    machine_pages,
    options,
    outlook,
    owner_answers,
    photos,
    planned_works,
    reviews,
    scenarios,
    stop_releases,
    stops,
    terms,
    unplanned,
    uploads,
    views,
    visit_moves,
    worklists,
    works,
)
from inspections.models import TermsSubject

router = SimpleRouter(trailing_slash=False)
router.register("gauges", views.GaugeViewSet)
router.register("visits", views.VisitViewSet)
router.register("readings", views.ReadingViewSet)
router.register("readings-to-confirm", reviews.ToConfirmViewSet, "to-confirm")
router.register("photos", photos.PhotoViewSet)
router.register("assessments", views.AssessmentViewSet)
router.register("findings", views.FindingViewSet)
router.register("forecasts", forecasts.ForecastViewSet)
router.register("forecast-runs", forecasts.ForecastRunViewSet)
router.register("forecast-scores", forecasts.ForecastScoreViewSet)
router.register("urgent-mails", views.UrgentMailViewSet)
router.register("first-limits", forecasts.FirstLimitViewSet, "first-limit")
router.register("planned-works", planned_works.PlannedWorkViewSet)
router.register("calendar-feeds", calendars.CalendarFeedViewSet)
router.register("stops", stops.StopViewSet)
router.register("stop-releases", stop_releases.BulkReleaseViewSet)
router.register("owner-answers", owner_answers.OwnerAnswerViewSet)
router.register("hand-overs", hand_overs.HandOverViewSet)
router.register("due-works", due_works.DueWorkViewSet)
router.register("scenarios", scenarios.ScenarioViewSet)

urlpatterns = [
    path("imports/gauges", exchange.GaugesImportView.as_view(resource="gauges")),
    path(
        "imports/gauges/template",
        exchange.GaugesTemplateView.as_view(resource="gauges"),
    ),
    path("imports/readings", exchange.ReadingsImportView.as_view()),
    path(
        "imports/readings/template",
        exchange.ReadingsTemplateView.as_view(resource="readings"),
    ),
    path("rates", terms.RatesView.as_view()),
    path("rates/suggested", terms.SuggestedRatesView.as_view()),
    path("lead-times", terms.LeadTimesView.as_view()),
    path("thresholds", terms.ThresholdsView.as_view()),
    path("checks", terms.ChecksView.as_view()),
    *(
        path(f"{name}/history", terms.TermsHistoryView.as_view(subject=subject))
        for name, subject in (
            ("rates", TermsSubject.RATES),
            ("lead-times", TermsSubject.LEAD_TIMES),
            ("thresholds", TermsSubject.THRESHOLDS),
            ("checks", TermsSubject.CHECKS),
        )
    ),
    path("field/machines", field.MachinesView.as_view(), name="field-machines"),
    path("field/contact", field.ContactView.as_view(), name="field-contact"),
    path("field/packs", field.PacksView.as_view(), name="field-packs"),
    path("cautions", cautioned.CautionsView.as_view(), name="cautions"),
    path("uploads", uploads.UploadView.as_view(), name="uploads"),
    path(
        "machines/<int:pk>/condition", views.ConditionView.as_view(), name="condition"
    ),
    path(
        "machines/<int:pk>/forecast",
        forecasts.MachineForecastView.as_view(),
        name="machine-forecast",
    ),
    path("calendars/<str:address>.ics", calendars.CalendarView.as_view()),
    path("budget", outlook.BudgetView.as_view()),
    path("machines/<int:pk>/comparison", outlook.ComparisonView.as_view()),
    path("machines/<int:pk>/regroove-order", outlook.RegrooveOrderView.as_view()),
    path("machines/<int:pk>/options", options.MachineOptionsView.as_view()),
    path("machines/<int:pk>/scenarios", scenarios.MachineScenariosView.as_view()),
    path("machines/<int:pk>/groove-window", scenarios.GrooveWindowView.as_view()),
    path("machines/<int:pk>/page", machine_pages.MachinePageView.as_view()),
    path("machines/<int:pk>/worklist", worklists.WorklistView.as_view()),
    path("machines/<int:pk>/works", works.MachineWorkView.as_view(), name="work"),
    path("works/<int:pk>/unplanned", unplanned.UnplannedWorkView.as_view()),
    path("readings/<int:pk>/review", reviews.ReadingReviewView.as_view()),
    path("hand-overs/take", hand_overs.TakeView.as_view()),
    path("machines/<int:pk>/hand-over", hand_overs.OfferView.as_view()),
    path("visits/<int:pk>/move", visit_moves.VisitMoveView.as_view()),
    path("visits/<int:pk>/photos", photos.VisitPhotoView.as_view()),
    *router.urls,
]
