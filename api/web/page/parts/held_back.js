/** Parts of a page that its first sight does not show: they wait in templates, so that the first frame need not build them. */

/** Put what waits in templates in their place. */
function bringIn() {
  for (const template of document.querySelectorAll("template")) template.replaceWith(template.content);
}

export { bringIn };
