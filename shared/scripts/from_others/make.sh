#!/bin/sh
# Writes ts_fsrs.js anew: npm's ts-fsrs as one module in the form that the other scripts have.
# Run in an empty folder, with this file's folder as the first argument.
set -eu
npm install --prefix . --silent --no-fund --no-audit ts-fsrs@5.4.2 esbuild@0.25.12
echo 'export { createEmptyCard, fsrs } from "ts-fsrs";' > entry.mjs
npx esbuild entry.mjs --bundle --minify --format=iife --global-name=bundled --target=es2022 --outfile=out.js
{
  echo "// ts-fsrs 5.4.2, bundled by make.sh. MIT licence:"
  sed 's|^|// |; s|[[:space:]]*$||' node_modules/ts-fsrs/LICENSE
  sed 's/^\("use strict";\)\?var bundled=/export const tsFsrs = /' out.js
} > "$1/ts_fsrs.js"
