// Makes the one script of the writing page: node build.mjs OUT, with the packages that .ci/package.json pins. The same
// packages give the same bytes. Beside the script go the notices of what is in it.
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const out = resolve(process.argv[2]);
const modules = join(here, "../../../.ci/node_modules");
const { build } = createRequire(join(modules, "/"))("esbuild");
const made = await build({
  entryPoints: [join(here, "main.js")], outfile: join(out, "script.js"), bundle: true, minify: true, format: "iife", target: "es2020",
  charset: "utf8", legalComments: "none", metafile: true, nodePaths: [modules], absWorkingDir: here, logLevel: "warning",
  banner: { js: "/* Notices of the packages in this script: NOTICES.txt beside it. */" },
});

const names = new Set();
for (const path of Object.keys(made.metafile.inputs)) {
  const found = /node_modules\/((?:@[^/]+\/)?[^/]+)\//.exec(path);
  if (found) names.add(found[1]);
}
let notices = "The script of the writing page contains these packages.\n";
for (const name of [...names].sort()) {
  const folder = join(modules, name);
  const { version, license } = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
  const text = ["LICENSE", "LICENSE.md", "license"].map((file) => join(folder, file)).find(existsSync);
  if (!text) throw new Error(`${name} has no notice`);
  notices += `\n${"=".repeat(60)}\n${name} ${version} (${license})\n\n${readFileSync(text, "utf8").trim()}\n`;
}
writeFileSync(join(out, "NOTICES.txt"), notices);
