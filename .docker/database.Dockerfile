# The database server with what seals its log: the same PostgreSQL, the same user.
ARG POSTGRES_IMAGE=postgres:17@sha256:d74eeac9a635390a49bc21bd49fccd973de707e2a53a76ac49b552b8712ec46f
FROM ${POSTGRES_IMAGE}
RUN apt-get update \
    && apt-get install -y --no-install-recommends age \
    && rm -rf /var/lib/apt/lists/* \
    && install -d -o postgres -g postgres -m 700 /srv/archive
COPY .docker/recovery /opt/recovery
