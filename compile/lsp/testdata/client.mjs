// Walks a library with the reference client of the protocol and prints what it gets, a line each.
// node client.js MATCHMARK LIBRARY FILE ENCODING
import { spawn } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { createRequire } from 'node:module'

const require = createRequire(process.env.MATCHMARK_MODULES + '/')
const rpc = require('vscode-jsonrpc/node')
const lsp = require('vscode-languageserver-protocol/node')
const [command, root, name, encoding] = process.argv.slice(2)

const server = spawn(command, ['lsp'], { stdio: ['pipe', 'pipe', 'inherit'] })
const connection = rpc.createMessageConnection(new rpc.StreamMessageReader(server.stdout), new rpc.StreamMessageWriter(server.stdin))
const uri = pathToFileURL(join(root, name)).href
const waiting = []
connection.onNotification(lsp.PublishDiagnosticsNotification.type, (told) => {
  for (const [i, w] of waiting.entries()) {
    if (told.uri === uri && w.fits(told.diagnostics)) {
      waiting.splice(i, 1)
      w.done(told.diagnostics)
      return
    }
  }
})
const told = (fits) => new Promise((done) => waiting.push({ fits, done }))
connection.listen()

const about = await connection.sendRequest(lsp.InitializeRequest.type, {
  processId: process.pid, rootUri: pathToFileURL(root).href, capabilities: { general: { positionEncodings: [encoding] } },
})
console.log('encoding', about.capabilities.positionEncoding)
connection.sendNotification(lsp.InitializedNotification.type, {})
const text = readFileSync(join(root, name), 'utf8')
const document = { uri }
connection.sendNotification(lsp.DidOpenTextDocumentNotification.type, { textDocument: { uri, languageId: 'markdown', version: 1, text } })

// A slip behind characters that count differently in the two encodings.
const lines = text.split('\n')
const line = lines.findIndex((l) => l.startsWith('::: caution'))
const before = '😀 é '
const units = (s) => encoding === 'utf-8' ? Buffer.byteLength(s) : s.length
const wrong = told((all) => all.some((d) => d.message.includes('nowhere')))
connection.sendNotification(lsp.DidChangeTextDocumentNotification.type, {
  textDocument: { uri, version: 2 },
  contentChanges: [
    { range: { start: { line: line + 1, character: 0 }, end: { line: line + 1, character: 0 } }, text: before + 'As in [the step](#).\n' },
    { range: { start: { line: line + 1, character: units(before + 'As in [the step](#') }, end: { line: line + 1, character: units(before + 'As in [the step](#') } }, text: 'nowhere' },
  ],
})
const found = (await wrong).find((d) => d.message.includes('nowhere'))
console.log('slip', found.range.start.line - line, found.range.start.character, found.range.end.character - found.range.start.character)
const offers = await connection.sendRequest(lsp.CompletionRequest.type, { textDocument: document, position: { line: line + 1, character: units(before + 'As in [the step](#') } })
console.log('offers', offers.items.length > 0, offers.items.every((i) => i.textEdit))
const right = told((all) => !all.some((d) => d.message.includes('nowhere')))
connection.sendNotification(lsp.DidChangeTextDocumentNotification.type, {
  textDocument: { uri, version: 3 },
  contentChanges: [{ range: { start: { line: line + 1, character: 0 }, end: { line: line + 2, character: 0 } }, text: '' }],
})
await right
console.log('right again')
await connection.sendRequest(lsp.ShutdownRequest.type)
const ended = new Promise((done) => server.on('exit', done))
connection.sendNotification(lsp.ExitNotification.type)
console.log('exit', await ended)
