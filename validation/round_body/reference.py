"""Bodies of revolution, computed independently of tiltfin: the values in reference.csv.

python3 reference.py (numpy; under a minute). Both parts share nothing with tiltfin's finite volumes.

Drum: onset of axisymmetric convection between rigid isothermal ends, warm below, the side insulated or
conducting. At the onset Ra is the smallest value of (int grad u : grad u)(int |grad T|^2) / (int w T)^2
over all velocities without divergence that vanish on the walls and temperatures that vanish at the ends
(and on a conducting side): the problem is self-adjoint. Here over products of polynomials; the value is
approached from above. Lengths by the height, radius 1.

Annulus: air (Boussinesq, Pr 0.71) between upright cylinders of radii 1 and 2, height 1, inner one warm,
outer one cold, ends insulated. Chebyshev collocation: stream function with its clamped walls and
temperature with its walls built into the polynomials, equations of vorticity and heat at Gauss points,
Newton's method from one Rayleigh number to the next. Velocities by diffusivity / gap.
"""

import numpy as np
from numpy.polynomial import Polynomial, chebyshev, legendre

PRANDTL = 0.71


def shifted(k, argument):
    """Legendre's polynomial k between 0 and 1, of a polynomial `argument`."""
    return legendre.Legendre.basis(k).convert(kind=Polynomial)(2 * argument - 1)


def onset(modes, conducting):
    points, weights = legendre.leggauss(60)
    places = (points + 1) / 2  # of r and of z
    root = np.sqrt(np.outer(weights / 2 * places, weights / 2)).ravel()  # r dr dz
    line = Polynomial([0, 1])
    square = Polynomial([0, 0, 1])

    def field(radial, axial):
        return np.outer(radial(places), axial(places)).ravel() * root

    gradients, upwards = [], []
    for m in range(modes):
        stream = square * (1 - square) ** 2 * shifted(m, square)
        w = Polynomial(stream.deriv().coef[1:])  # (1/r) dpsi/dr
        u = Polynomial(stream.coef[1:])  # psi / r
        for n in range(modes):
            h = (line * (1 - line)) ** 2 * shifted(n, line)
            hoop = Polynomial(u.coef[1:])
            gradients.append(np.concatenate([
                field(w.deriv(), h), field(w, h.deriv()), field(u.deriv(), h.deriv()),
                field(u, h.deriv(2)), field(hoop, h.deriv())]))
            upwards.append(field(w, h))
    slopes, temperatures = [], []
    for m in range(modes + 1):
        q = shifted(m, square) * ((1 - square) if conducting else 1)
        for n in range(modes + 1):
            h = line * (1 - line) * shifted(n, line)
            slopes.append(np.concatenate([field(q.deriv(), h), field(q, h.deriv())]))
            temperatures.append(field(q, h))

    def triangle(rows):
        rows = np.array(rows)
        size = np.linalg.norm(rows, axis=1)
        return size, np.linalg.qr((rows / size[:, None]).T)[1]

    size_u, r_u = triangle(gradients)
    size_t, r_t = triangle(slopes)
    coupling = (np.array(upwards) / size_u[:, None]) @ (np.array(temperatures) / size_t[:, None]).T
    coupling = np.linalg.solve(r_t.T, np.linalg.solve(r_u.T, coupling).T)
    return 1.0 / np.linalg.svd(coupling, compute_uv=False)[0] ** 2


def basis(n, kind):
    """Values and derivatives along a length of 1 at Gauss points, slopes at both ends, series."""
    x = np.cos((2 * np.arange(n) + 1) * np.pi / (2 * n))
    series = []
    for k in range(n):
        if kind == "neumann":
            c = np.zeros(k + 3)
            c[k], c[k + 2] = 1.0, -((k / (k + 2)) ** 2)
        else:
            walls = [1, 0, -1] if kind == "dirichlet" else [1, 0, -2, 0, 1]
            c = chebyshev.chebmul(chebyshev.poly2cheb(walls), [0] * k + [1])
        series.append(c)
    values = [np.array([chebyshev.chebval(x, chebyshev.chebder(c, d) if d else c) * 2**d
                        for c in series]).T for d in range(5)]
    ends = np.array([chebyshev.chebval([-1, 1], chebyshev.chebder(c)) * 2 for c in series]).T
    return x, values, ends, series


def annulus(n, rayleighs):
    x, clamped, _, _ = basis(n, "clamped")
    _, fixed, fixed_ends, _ = basis(n, "dirichlet")
    _, flat, _, flat_series = basis(n, "neumann")
    inverse = 1.0 / np.repeat(1 + (x + 1) / 2, n)

    def d(values):
        return values[:, None]

    psi = {(i, j): np.kron(clamped[i], clamped[j]) for i in range(5) for j in range(5 - i)}
    temp = {(i, j): np.kron(fixed[i], flat[j]) for i in range(3) for j in range(3 - i)}
    u = -d(inverse) * psi[0, 1]
    w = d(inverse) * psi[1, 0]
    second = psi[0, 2] + psi[2, 0] - d(inverse) * psi[1, 0]
    vorticity = -d(inverse) * second
    vorticity_r = d(inverse**2) * second - d(inverse) * (
        psi[1, 2] + psi[3, 0] - d(inverse) * psi[2, 0] + d(inverse**2) * psi[1, 0])
    vorticity_z = -d(inverse) * (psi[0, 3] + psi[2, 1] - d(inverse) * psi[1, 1])
    diffusion = -d(inverse) * (
        psi[4, 0] - d(2 * inverse) * psi[3, 0] + d(3 * inverse**2) * psi[2, 0]
        - d(3 * inverse**3) * psi[1, 0] + 2 * psi[2, 2] - d(2 * inverse) * psi[1, 2] + psi[0, 4])
    conduction = temp[2, 0] + d(inverse) * temp[1, 0] + temp[0, 2]
    still_r = -inverse / np.log(2.0)  # of 1 - ln r / ln 2
    a, b = np.zeros(n * n), np.zeros(n * n)
    points, weights = legendre.leggauss(40)
    along = np.array([(chebyshev.chebval(points, c) * weights).sum() / 2 for c in flat_series])
    results = []
    for rayleigh in rayleighs:
        for _ in range(30):
            uu, ww, o = u @ a, w @ a, vorticity @ a
            o_r, o_z = vorticity_r @ a, vorticity_z @ a
            t_r, t_z = temp[1, 0] @ b + still_r, temp[0, 1] @ b
            lift = rayleigh * PRANDTL
            f = np.concatenate([
                uu * o_r + ww * o_z - uu * o * inverse - PRANDTL * (diffusion @ a) + lift * t_r,
                uu * t_r + ww * t_z - conduction @ b])
            jacobian = np.block([
                [d(uu) * vorticity_r + d(o_r) * u + d(ww) * vorticity_z + d(o_z) * w
                 - d(o * inverse) * u - d(uu * inverse) * vorticity - PRANDTL * diffusion,
                 lift * temp[1, 0]],
                [d(t_r) * u + d(t_z) * w,
                 d(uu) * temp[1, 0] + d(ww) * temp[0, 1] - conduction]])
            scale = 1.0 / np.abs(jacobian).max(axis=1)
            step = np.linalg.solve(jacobian * d(scale), -f * scale)
            a, b = a + step[: n * n], b + step[n * n :]
            if np.linalg.norm(step) < 1e-9 * np.linalg.norm(np.concatenate([a, b])):
                break
        else:
            raise RuntimeError("Newton's method did not converge")
        results.append(1.0 / np.log(2.0) - fixed_ends[0] @ b.reshape(n, n) @ along)
    return results


if __name__ == "__main__":
    for conducting in (False, True):
        for modes in (4, 6, 8):
            print("drum", "conducting" if conducting else "insulated", modes * modes,
                  round(onset(modes, conducting), 2))
    for n in (14, 18, 22):
        print("annulus", n, [round(nu, 4) for nu in annulus(n, [1e3, 3e3, 1e4, 3e4, 1e5])])
