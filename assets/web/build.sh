#!/usr/bin/env bash
# Builds the engine that «brusharm page» puts into a page, and leaves it where the program finds it: target/brusharm-engine.wasm, or the file
# named as the first argument. Takes some minutes, once for each version of the sources.
#
# On an ordinary machine it needs rustup, which fetches what Rust needs for WebAssembly. Where rustup has no such thing to give, Debian's own compiler
# builds it: apt-get install --no-install-recommends rustc-web cargo-web rust-web-src. Either way wasm-opt (binaryen) makes it a third
# smaller; without it the engine works all the same.
set -euo pipefail
root="$(cd "$(dirname "$0")/../.." && pwd)"
out="${1:-$root/target/brusharm-engine.wasm}"
triple=wasm32-unknown-unknown
export CARGO_TARGET_DIR="${CARGO_TARGET_DIR:-$root/target}"
cd "$root"
# Four numbers at a time where a browser can, as those of 2023 can; and little put in line, which is smaller and hardly slower.
export CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS="${CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS:--C target-feature=+simd128 -C llvm-args=-inline-threshold=70}"

has_target() { [ -d "$(rustc --print sysroot)/lib/rustlib/$triple/lib" ]; }
if has_target || { command -v rustup >/dev/null && rustup --quiet target add "$triple" >/dev/null 2>&1 && has_target; }; then
  cargo build --locked --quiet -p brusharm-engine --profile engine --target "$triple"
elif [ -x /usr/bin/rustc ] && [ -x /usr/bin/cargo ] && dpkg -s rust-web-src >/dev/null 2>&1; then
  # Debian's compiler has the sources of the standard library but not the library: it is built along. The linker is the one that rustup ships, or lld.
  lld="$(find "$(rustc --print sysroot)" -name rust-lld -type f 2>/dev/null | head -n 1)"
  lld="${lld:-$(command -v wasm-ld || command -v rust-lld || true)}"
  [ -n "$lld" ] || { echo "no linker for WebAssembly: install lld (Debian) or a toolchain of rustup" >&2; exit 1; }
  export RUSTC=/usr/bin/rustc RUSTC_BOOTSTRAP=1 CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER="$lld"
  /usr/bin/cargo build --locked --quiet -p brusharm-engine --profile engine --target "$triple" -Z build-std=std,panic_abort
else
  echo "nothing here builds for WebAssembly: «rustup target add $triple», or on Debian the packages rustc-web, cargo-web and rust-web-src" >&2
  exit 1
fi

built="$CARGO_TARGET_DIR/$triple/engine/brusharm_engine.wasm"
mkdir -p "$(dirname "$out")"
if command -v wasm-opt >/dev/null; then
  wasm-opt -Oz --strip-debug --strip-producers --enable-bulk-memory --enable-sign-ext --enable-nontrapping-float-to-int \
    --enable-simd --enable-mutable-globals --enable-reference-types --enable-multivalue "$built" -o "$out.part"
  mv "$out.part" "$out"
else
  echo "wasm-opt (binaryen) is not here: the engine stays larger than it need be" >&2
  cp "$built" "$out"
fi
echo "$out: $(wc -c <"$out") bytes, $(gzip -9 -c "$out" | wc -c) gzipped"
