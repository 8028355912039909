// node measure.js FOLDER: serves FOLDER/site and prints the scores of its pages.
"use strict";
const { execFileSync } = require("node:child_process");
const fs = require("node:fs");
const http = require("node:http");
const path = require("node:path");
const { Worker, isMainThread, workerData, parentPort } = require("node:worker_threads");

const pages = ["index.html", "procedure/mixer-gearbox-out/steps-belt.html", "quiz/mixer-quiz/index.html"];
const least = 95;
const types = { ".html": "text/html; charset=utf-8", ".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml", ".png": "image/png", ".jpg": "image/jpeg" };

// The server runs beside the measurement, which blocks.
if (!isMainThread) {
  const server = http.createServer((request, response) => {
    const name = path.join(workerData, path.normalize(decodeURIComponent(new URL(request.url, "http://x").pathname)));
    fs.readFile(name, (fault, content) => {
      response.writeHead(fault ? 404 : 200, { "Content-Type": types[path.extname(name)] || "application/octet-stream" });
      response.end(content);
    });
  });
  server.listen(0, "127.0.0.1", () => parentPort.postMessage(server.address().port));
} else {
  const folder = process.argv[2];
  const worker = new Worker(__filename, { workerData: path.join(folder, "site") });
  worker.once("message", (port) => {
    let failed = false;
    for (const page of pages) {
      const scores = median(() => measure(`http://127.0.0.1:${port}/${page}`, path.join(folder, "profile")));
      console.log(page, scores);
      failed = failed || Object.values(scores).some((score) => score < least);
    }
    if (failed) console.error(`A score is below ${least}.`);
    process.exit(failed ? 1 : 0);
  });
}

// median measures three times, because one slow moment of the machine spoils a score.
function median(once) {
  const runs = [once(), once(), once()];
  return Object.fromEntries(Object.keys(runs[0]).map((id) => [id, runs.map((r) => r[id]).sort((a, b) => a - b)[1]]));
}

function measure(address, profile) {
  const flags = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage", `--user-data-dir=${profile}`].join(" ");
  const report = JSON.parse(execFileSync(process.execPath, [require.resolve("lighthouse/cli/index.js"), address, "--quiet", "--output=json",
    "--only-categories=performance,accessibility", "--form-factor=mobile", "--screenEmulation.mobile", "--screenEmulation.width=768",
    "--screenEmulation.height=1024", "--screenEmulation.deviceScaleFactor=2", `--chrome-flags=${flags}`], { maxBuffer: 1 << 28, timeout: 180000 }));
  return Object.fromEntries(Object.values(report.categories).map((c) => [c.id, Math.round(c.score * 100)]));
}
