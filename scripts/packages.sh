# Sourced by start, check and .ci/run: installs from Debian what is missing, and nothing that is there.
# Works as root or through sudo; safe to interrupt and to run again.

build_packages=(
  g++ cmake ninja-build pkg-config git ca-certificates
  libboost1.81-dev libssl-dev libsqlitecpp-dev libsqlite3-dev nlohmann-json3-dev libtomlplusplus-dev
  libfmt-dev libspdlog-dev libcli11-dev libsodium-dev zlib1g-dev
  libturbojpeg0-dev libpng-dev libwebp-dev libheif-dev libexif-dev liblcms2-dev libzxing-dev
  ccache mold
)
test_packages=(
  libgtest-dev libgmock-dev libdlib-dev libbenchmark-dev libqrcodegencpp-dev chromium
)
gate_packages=(
  clang-19 clang-tidy-19 clang-format-19 libclang-rt-19-dev python3
)

as_root() {
  if [ "$(id -u)" -eq 0 ]; then "$@"; else sudo "$@"; fi
}

# install_missing PACKAGE...
install_missing() {
  local missing=() package
  for package in "$@"; do
    dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q 'install ok installed' || missing+=("$package")
  done
  # Node from elsewhere conflicts with Debian's npm: take Debian's only where there is none.
  if ! command -v node >/dev/null || ! command -v npm >/dev/null; then
    missing+=(nodejs npm)
  fi
  [ ${#missing[@]} -eq 0 ] && return 0
  echo "Installing ${#missing[@]} Debian packages: ${missing[*]}" >&2
  as_root dpkg --configure -a
  as_root apt-get update -qq
  as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}"
}
