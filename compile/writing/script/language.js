// The colours of the text: Markdown with the first lines of a file, fences with colons, and attributes in braces.
import { defineLanguageFacet, foldNodeProp, HighlightStyle, Language, syntaxHighlighting } from "@codemirror/language";
import { Table, TaskList, parser } from "@lezer/markdown";
import { tags as t } from "@lezer/highlight";

const matter = {
  defineNodes: [{ name: "FirstLines", block: true, style: t.meta }],
  parseBlock: [{
    name: "FirstLines",
    before: "HorizontalRule",
    parse(cx, line) {
      if (cx.lineStart !== 0 || !/^---[ \t]*$/.test(line.text)) return false;
      while (cx.nextLine()) {
        if (/^---[ \t]*$/.test(line.text)) {
          cx.nextLine();
          break;
        }
      }
      cx.addElement(cx.elt("FirstLines", 0, cx.prevLineEnd()));
      return true;
    },
  }],
};

const fence = {
  defineNodes: [{ name: "ColonFence", block: true, style: t.keyword }],
  parseBlock: [{
    name: "ColonFence",
    before: "FencedCode",
    parse(cx, line) {
      if (!/^:::/.test(line.text.slice(line.pos))) return false;
      const from = cx.lineStart + line.pos, to = cx.lineStart + line.text.length;
      cx.addElement(cx.elt("ColonFence", from, to));
      cx.nextLine();
      return true;
    },
    endLeaf: (cx, line) => /^:::/.test(line.text.slice(line.pos)),
  }],
};

const attributes = {
  defineNodes: [{ name: "Attributes", style: t.attributeName }],
  parseInline: [{
    name: "Attributes",
    parse(cx, next, pos) {
      if (next !== 123) return -1;
      const end = cx.slice(pos, cx.end).indexOf("}");
      return end < 0 ? -1 : cx.addElement(cx.elt("Attributes", pos, pos + end + 1));
    },
  }],
};

const facet = defineLanguageFacet({ commentTokens: { block: { open: "<!--", close: "-->" } } });
export const language = new Language(facet, parser.configure([Table, TaskList, matter, fence, attributes, {
  props: [foldNodeProp.add({ FirstLines: (node, state) => ({ from: state.doc.lineAt(node.from).to, to: node.to }) })],
}]), [], "matchmark");

export const colours = syntaxHighlighting(HighlightStyle.define([
  { tag: t.meta, class: "w-matter" },
  { tag: t.keyword, class: "w-fence" },
  { tag: t.attributeName, class: "w-attribute" },
  { tag: t.heading, class: "w-heading" },
  { tag: t.strong, class: "w-strong" },
  { tag: t.emphasis, class: "w-emphasis" },
  { tag: t.monospace, class: "w-name" },
  { tag: t.comment, class: "w-comment" },
  { tag: t.quote, class: "w-quote" },
  { tag: t.processingInstruction, class: "w-mark" },
]));
