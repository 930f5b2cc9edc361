/** Parts of a page that its first sight does not show: they wait in templates, so that the first frame need not build them. */

/** Put what waits in templates of a part of the page in their place. */
function bringIn(part = document) {
  for (const template of part.querySelectorAll("template")) template.replaceWith(template.content);
}

export { bringIn };
