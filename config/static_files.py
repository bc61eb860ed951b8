"""Static files by hashed names, those that a script module imports too."""

from __future__ import annotations

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]  # tells no types
    """As whitenoise has it; no two versions of the modules of one page can be mixed."""

    support_js_module_import_aggregation = True
    max_post_process_passes = 30
    """At least as many as modules import each other in a row; files that settle sooner end it."""
