# The outside engine that reads Parquet, from PyPI, in an environment of its own in the folder given. Sourced.
engine_into() {
  python3 -m venv "$1"
  "$1/bin/pip" install --quiet --disable-pip-version-check duckdb==2.0.1
}
