"""A finished run in; files, words and pictures for people out."""

#: shown wherever decisions are shown
CAUTIONS = (
    "Decision support only. It sets no safety classification, operability, licence position or "
    "dose authorisation.",
    "Nuclear, radiation, pressure, electrical and lifting work follows the site's licensed "
    "programmes, the regulator and local codes.",
    "Qualified people review and approve every scope decision and deferral.",
    "Expected cost hides rare severe loss: read worst events and injury risks for themselves.",
)
