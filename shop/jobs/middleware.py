"""Says on every page whose it is, so that a browser never shows one person's copy to another."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

HEADER = "X-Person"


def whose_page(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Every page carries the signed-in person's key, or 0."""

    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if response.get("Content-Type", "").startswith("text/html"):
            response[HEADER] = str(request.user.pk or 0)
        return response

    return answer
