declare module "jstat" {
  interface Shape2 {
    pdf(x: number, a: number, b: number): number;
    cdf(x: number, a: number, b: number): number;
    inv(p: number, a: number, b: number): number;
  }
  interface JStat {
    beta: Shape2;
    gamma: Shape2;
    normal: Shape2;
    gammaln(x: number): number;
    [name: string]: unknown;
  }
  const all: { jStat: JStat };
  export default all;
}
