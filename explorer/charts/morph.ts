/** Makes one picture look like another by changing what differs alone: a browser lays out and paints that much less. */

export function morph(shown: Element, wanted: Element): void {
  attributes(shown, wanted);
  const old = [...shown.childNodes];
  const next = [...wanted.childNodes];
  for (const [i, node] of next.entries()) {
    const stands = old[i];
    if (!stands) shown.append(node.cloneNode(true));
    else if (!alike(stands, node)) stands.replaceWith(node.cloneNode(true));
    else if (node instanceof Element) morph(stands as Element, node);
    else if (stands.nodeValue !== node.nodeValue) stands.nodeValue = node.nodeValue;
  }
  for (const extra of old.slice(next.length)) extra.remove();
}

const alike = (a: Node, b: Node): boolean => a.nodeType === b.nodeType && a.nodeName === b.nodeName;

function attributes(shown: Element, wanted: Element): void {
  for (const { namespaceURI, name, value } of wanted.attributes)
    if (shown.getAttribute(name) !== value) shown.setAttributeNS(namespaceURI, name, value);
  if (shown.attributes.length === wanted.attributes.length) return;
  for (const { name } of [...shown.attributes]) if (!wanted.hasAttribute(name)) shown.removeAttribute(name);
}
