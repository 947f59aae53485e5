/**
 * How often each cause is what brought a machine in: a tree of Dirichlet distributions with the catalog as pseudo-counts.
 *
 *   all machines → none | unlisted | listed;   listed → group;   group → cause
 *
 * The tree is the partial pooling: what is learned of a group (all contacts) goes to each of its causes, and a cause seen
 * twice is held by the catalog's proportions within its group. Estimates are modes in the softmax basis, which are the
 * posterior means (MacKay 1998, "Choice of basis for Laplace approximation"), so expectation–maximisation climbs on them.
 * Source: project model, section 11; Dirichlet trees, Minka 1999.
 */
import type { Space } from "../space.js";

/** A group's share is free to move more easily than the proportions within it (judgement). */
const GROUP_LOOSER = 3;

interface Node {
  /** indexes of the tree's leaves or further nodes */
  pseudo: number[];
  leaves: number[][];
}

export interface ShareTree {
  nodes: Node[];
  causes: number;
}

/**
 * @param shares  the catalog's own; length C; causes of share 0 stay there
 * @param worth   how many tickets the catalog counts as
 */
export function shareTree(
  shares: Float64Array,
  worth: number,
  { catalog, none, unlisted }: Space,
): ShareTree {
  const listed = catalog.causes.map((_, c) => c).filter((c) => shares[c]! > 0);
  const sum = (leaves: readonly number[]) => leaves.reduce((total, c) => total + shares[c]!, 0);
  const nodeOf = (children: number[][], strength: number): Node => {
    const total = sum(children.flat());
    return { leaves: children, pseudo: children.map((child) => (strength * sum(child)) / total) };
  };
  const groups = [...new Set(listed.map((c) => catalog.causes[c]!.group))].map((group) =>
    listed.filter((c) => catalog.causes[c]!.group === group),
  );
  const share = sum(listed);
  const nodes = [nodeOf([[none], [unlisted], listed], worth), nodeOf(groups, (worth * share) / GROUP_LOOSER)];
  for (const group of groups)
    nodes.push(
      nodeOf(
        group.map((c) => [c]),
        worth * sum(group),
      ),
    );
  return { nodes: nodes.filter(({ leaves }) => leaves.every((l) => l.length > 0)), causes: shares.length };
}

/** Shares after some counts; length C, sums to 1. @param counts  tickets by cause, whole or expected */
export function sharesAfter({ nodes, causes }: ShareTree, counts: ArrayLike<number>): Float64Array {
  const shares = new Float64Array(causes).fill(0);
  for (const { leaves } of nodes) for (const c of leaves.flat()) shares[c] = 1;
  for (const node of nodes)
    branches(node, counts).forEach(({ p }, k) => {
      for (const c of node.leaves[k]!) shares[c]! *= p;
    });
  return shares;
}

/** Chance and Beta parameters of every branch of a node. */
function branches({ pseudo, leaves }: Node, counts: ArrayLike<number>) {
  const alpha = pseudo.map((a, k) => a + leaves[k]!.reduce((n, c) => n + counts[c]!, 0));
  const total = alpha.reduce((sum, a) => sum + a, 0);
  return alpha.map((a) => ({ p: a / total, alpha: a, beta: total - a }));
}

/** ln of the prior density of shares, in the softmax basis, without its constant: Σ α ln of each branch's chance. */
export function logSharePrior({ nodes }: ShareTree, shares: Float64Array): number {
  let log = 0;
  for (const { pseudo, leaves } of nodes) {
    const parts = leaves.map((leaf) => leaf.reduce((sum, c) => sum + shares[c]!, 0));
    const total = parts.reduce((sum, p) => sum + p, 0);
    pseudo.forEach((a, k) => (log += a * Math.log(parts[k]! / total)));
  }
  return log;
}

/**
 * Squared coefficient of variation of each share: a product of independent Betas, so Π (1 + cv²) − 1; length C.
 */
export function shareSpread({ nodes, causes }: ShareTree, counts: ArrayLike<number>): Float64Array {
  const product = new Float64Array(causes).fill(1);
  for (const node of nodes)
    branches(node, counts).forEach(({ alpha, beta }, k) => {
      for (const c of node.leaves[k]!) product[c]! *= 1 + beta / (alpha * (alpha + beta + 1));
    });
  return product.map((x) => x - 1);
}
