-- Walks a library in Neovim without a screen and prints what it shows, a line each. The settings are in the environment:
-- MATCHMARK, LIBRARY, FILE.
local function say(...) io.stdout:write(table.concat({ ... }, ' ') .. '\n') end
local function finish(problem)
  if problem then say('failed', problem) end
  vim.cmd('qa!')
end
local function has(word)
  for _, d in ipairs(vim.diagnostic.get(0)) do
    if d.message:find(word, 1, true) then return d end
  end
end

vim.cmd('edit ' .. vim.fn.fnameescape(vim.env.LIBRARY .. '/' .. vim.env.FILE))
local id = vim.lsp.start_client({ name = 'matchmark', cmd = { vim.env.MATCHMARK, 'lsp' }, root_dir = vim.env.LIBRARY })
vim.lsp.buf_attach_client(0, id)
if not vim.wait(60000, function() local c = vim.lsp.get_client_by_id(id); return c and c.initialized end) then return finish('not started') end

local line = vim.fn.search('^::: caution', 'n')
vim.api.nvim_buf_set_lines(0, line, line, false, { '😀 é As in [the step](#nowhere).' })
if not vim.wait(60000, function() return has('nowhere') end) then return finish('no message') end
local slip = has('nowhere')
say('slip', slip.lnum - line + 1, slip.col)

vim.api.nvim_win_set_cursor(0, { line + 1, #'😀 é As in [the step](#' })
local params = vim.lsp.util.make_position_params()
for _, answer in pairs(vim.lsp.buf_request_sync(0, 'textDocument/completion', params, 60000)) do
  say('offers', tostring(#answer.result.items > 0))
end
vim.api.nvim_buf_set_lines(0, line, line + 1, false, {})
if not vim.wait(60000, function() return not has('nowhere') end) then return finish('the message stays') end
say('right again')
for _, answer in pairs(vim.lsp.buf_request_sync(0, 'textDocument/documentSymbol', { textDocument = vim.lsp.util.make_text_document_params() }, 60000)) do
  say('symbols', tostring(#answer.result > 5))
end
vim.lsp.stop_client(id)
vim.wait(60000, function() return vim.lsp.get_client_by_id(id) == nil end)
finish()
