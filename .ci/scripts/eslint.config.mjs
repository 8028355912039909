// Rules that find mistakes, none of taste. Which names and properties there are is TypeScript's part of .ci/lint.
const rules = `
array-callback-return constructor-super eqeqeq for-direction getter-return no-async-promise-executor no-case-declarations no-class-assign
no-compare-neg-zero no-cond-assign no-const-assign no-constant-binary-expression no-constant-condition no-debugger no-delete-var no-dupe-args
no-dupe-else-if no-dupe-keys no-duplicate-case no-empty-character-class no-empty-pattern no-eval no-ex-assign no-extra-boolean-cast no-fallthrough
no-func-assign no-global-assign no-implicit-globals no-import-assign no-invalid-regexp no-irregular-whitespace no-loop-func no-loss-of-precision
no-misleading-character-class no-new-func no-new-wrappers no-obj-calls no-octal no-promise-executor-return no-prototype-builtins no-redeclare
no-regex-spaces no-self-assign no-self-compare no-setter-return no-shadow-restricted-names no-sparse-arrays no-template-curly-in-string
no-unexpected-multiline no-unmodified-loop-condition no-unreachable no-unreachable-loop no-unsafe-finally no-unsafe-negation
no-unsafe-optional-chaining no-unused-labels no-unused-vars no-useless-backreference no-useless-escape no-with require-yield use-isnan valid-typeof`;

const all = Object.assign(Object.fromEntries(rules.trim().split(/\s+/).map((rule) => [rule, "error"])), {
  "no-unused-vars": ["error", { caughtErrors: "none" }],
});

export default [{
  files: ["**/*.js"],
  languageOptions: { ecmaVersion: 2022, sourceType: "script" },
  linterOptions: { reportUnusedDisableDirectives: "error" },
  rules: all,
}, {
  files: ["compile/writing/script/*.{js,mjs}"], // modules, which the bundle is made of
  languageOptions: { sourceType: "module" },
  rules: all,
}, {
  files: ["**/worker.js"], // alone in its worker
  rules: { "no-implicit-globals": "off" },
}];
