// Every answer of the server is held against api/openapi.yaml.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';

import Ajv from 'ajv/dist/2020.js';
import { parse } from 'yaml';

export const description = parse(readFileSync(new URL('../../../api/openapi.yaml', import.meta.url), 'utf8'));
const ajv = new Ajv({ strict: false, allErrors: true, validateFormats: false });
ajv.addSchema(description, 'api');

const kRoot = '/api/v1';
const methods = ['get', 'post', 'put', 'delete', 'patch'];

/** All operations as {id, method, path, operation}. */
export const operations = Object.entries(description.paths).flatMap(([path, item]) =>
  methods.filter((method) => item[method]).map((method) =>
    ({ id: item[method].operationId, method: method.toUpperCase(), path, operation: item[method] })));

/** The operation of a request, fixed segments before {names}; nothing where there is none. */
export function operationOf(method, target) {
  const segments = target.split('?')[0].slice(kRoot.length).split('/');
  const fits = operations.filter((one) => {
    const pattern = one.path.split('/');
    return one.method === method && pattern.length === segments.length
      && pattern.every((part, i) => part.startsWith('{') || part === segments[i]);
  });
  return fits.sort((a, b) => a.path.split('{').length - b.path.split('{').length)[0];
}

const validators = new Map();
function validatorAt(pointer) {
  if (!validators.has(pointer)) validators.set(pointer, ajv.compile({ $ref: `api#${pointer}` }));
  return validators.get(pointer);
}
const escaped = (key) => encodeURIComponent(key.replaceAll('~', '~0').replaceAll('/', '~1'));

function responsePointer(operation, status) {
  const { path, method } = operation;
  const at = ['paths', path, method.toLowerCase(), 'responses'].map(escaped).join('/');
  const responses = operation.operation.responses;
  const key = responses[status] ? String(status) : 'default';
  const response = responses[key];
  if (!response) return null;
  return response.$ref ? response.$ref.slice(1) : `/${at}/${key}`;
}

const resolve = (pointer) => pointer.split('/').slice(1)
  .reduce((value, key) => value[decodeURIComponent(key).replaceAll('~1', '/').replaceAll('~0', '~')], description);

/** Fails unless the answer is one that the description promises. `body` is text. */
export function assertPromised(method, target, status, type, body) {
  const problem = type === 'application/problem+json';
  assert.equal(problem, status >= 400, `${method} ${target}: ${status} came as ${type}`);
  if (problem) {
    const document = JSON.parse(body);
    const check = validatorAt('/components/schemas/Problem');
    assert.ok(check(document), `${method} ${target}: ${JSON.stringify(check.errors)}`);
    assert.equal(document.status, status);
  }
  const operation = operationOf(method, target);
  if (!operation || status === 304 || status === 405) return;
  const pointer = responsePointer(operation, status);
  assert.ok(pointer || status >= 400, `${method} ${target}: status ${status} is not described`);
  if (!pointer) return;
  const content = resolve(pointer).content;
  assert.ok(content[type], `${method} ${target}: ${type} is not described`);
  if (type.endsWith('json')) {
    const check = validatorAt(`${pointer}/content/${escaped(type)}/schema`);
    assert.ok(check(JSON.parse(body)), `${method} ${target}: ${JSON.stringify(check.errors, null, 1)}`);
  }
}
