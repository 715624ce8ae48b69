"""How static files are served: under the hash of what is in them, also where one script of ours imports another."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class Hashed(CompressedManifestStaticFilesStorage):
    # Each pattern goes with the scripts in which it is looked for; packages' own scripts import what isn't there.
    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        ("offline/*.js", CompressedManifestStaticFilesStorage._js_module_import_aggregation_patterns[1]),
    )
